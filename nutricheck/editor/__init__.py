"""The place where a plan is made, changed and understood: a local program and its browser window.

``nutricheck open`` starts it. The plan is that of the text form, the answer that of the check.
"""
