"""What pyproject.toml cannot say: the folder data_builder is installed as nutricheck_data_builder.

The build folder is a temporary one: files left by an older build would be installed with the new.
"""

from tempfile import TemporaryDirectory

from setuptools import find_namespace_packages, setup

# Folders of data have no __init__.py, so they count as namespaces.
ours = find_namespace_packages(include=["nutricheck", "nutricheck.*"])

with TemporaryDirectory() as build_folder:
    setup(
        packages=[*ours, "nutricheck_data_builder"],
        package_dir={"nutricheck_data_builder": "data_builder"},
        options={"build": {"build_base": build_folder}},
    )
