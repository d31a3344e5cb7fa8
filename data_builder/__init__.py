"""Builds local food tables for nutricheck from open datasets.

``source_files`` opens folders and zips safely, ``sr28`` reads their USDA SR28 text,
``components`` names the components, ``checks`` judges what was read, ``build`` writes the table
and what stands beside it. Nothing in nutricheck imports this package.
"""
