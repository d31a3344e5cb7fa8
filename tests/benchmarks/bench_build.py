"""Building the whole SR28 against pandas reading NUT_DATA.txt alone, whole processes both.

Needs the release's zip, named by NUTRICHECK_SR28_ZIP. It is unpacked first, so that neither side
pays for that.
"""

from __future__ import annotations

import os
import sys
import tempfile
import zipfile

from ratio import measure, python, tell

READ = (
    "import sys, warnings, pandas; warnings.simplefilter('ignore'); pandas.read_csv("
    "sys.argv[1], sep='^', quotechar='~', encoding='latin-1', header=None)"
)

if __name__ == "__main__":
    if not os.environ.get("NUTRICHECK_SR28_ZIP"):
        sys.exit("NUTRICHECK_SR28_ZIP does not name the zip of SR28")
    with tempfile.TemporaryDirectory() as folder:
        with zipfile.ZipFile(os.environ["NUTRICHECK_SR28_ZIP"]) as release:
            release.extractall(folder)
        table = f"{folder}/table"
        build = python("-m", "data_builder", "build", "sr28", folder, "--out", table, "--quiet")
        read = python("-c", READ, f"{folder}/NUT_DATA.txt")
        sys.exit(not tell("build", *measure(build, read), at_most=1.5))
