"""The first screens of ten very different plans, to be read aloud.

``python -m tests.screens.write`` writes each beside its plan. People read the files; the test
compares words, not figures, which differ by a digit with the versions of libraries.
"""
