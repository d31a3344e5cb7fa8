"""Locale, time zone, encoding, line ends, odd paths and links change nothing but the wording."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib

import pytest
from rich.cells import cell_len

from tests import warm
from tests.hard_use.commands import COMMANDS, EACH, ROOT, assert_message, content, inputs

PLAN = ROOT / "samples" / "light_pack.toml"
#: As a program does that calls the library after setting the locale: decimal comma and all.
IN_LOCALE = (
    "import locale; locale.setlocale(locale.LC_ALL, ''); "
    "assert locale.localeconv()['decimal_point'] == ','"
)
PLAIN_PYTHON = {"PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONIOENCODING": ""}
RUNS = [
    ["check", str(PLAN), "--json", "--draws", "20"],
    ["check", str(PLAN), "--draws", "20"],
    ["check-many", "samples/diaries.csv"],
    ["food", "spinach"],
]
#: Runs them one after the other; ends at the first that fails.
ALL_RUNS = """
import json, sys
from nutricheck.cli import main
for words in json.loads(sys.argv[1]):
    sys.argv = ["nutricheck", *words]
    try:
        main()
    except SystemExit as end:
        if end.code:
            raise
    sys.stdout.flush()
    sys.stdout.buffer.write(bytes(1))
"""


DAY = {"SOURCE_DATE_EPOCH": "1790000000"}  # results carry their day, which zones have apart


def outputs(first="", **variables):
    """What each run prints in one Python started with these variables, after a first statement."""
    done = subprocess.run(
        [sys.executable, "-c", f"{first}\n{ALL_RUNS}", json.dumps(RUNS)],
        cwd=ROOT, env=os.environ | DAY | variables, capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.split(bytes(1))[:-1]


@pytest.fixture(scope="module")
def usual():
    printed = outputs()
    assert len(printed) == len(RUNS)
    assert all(printed)
    return printed


#: Each command whose report has tables or long lines.
REPORTS = [
    ["check", str(PLAN), "--draws", "20"],
    ["check", str(PLAN), "--all", "--draws", "20"],
    ["additions", str(PLAN), "--all"],
    ["batch", "samples/july_survey.toml", "apple rings"],
    ["compare", "carrot", "--all"],
    ["food", "dried apricots"],
    ["food", "chicken", "--limit", "20"],
    ["sources"],
]


@pytest.mark.skipif(os.name == "nt", reason="asks for a pseudo terminal")
@pytest.mark.parametrize("columns", [40, 57])
def test_no_line_is_wider_than_a_narrow_terminal(columns):
    import fcntl
    import pty
    import struct
    import termios

    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    command = [sys.executable, "-c", ALL_RUNS, json.dumps(REPORTS)]
    process = subprocess.Popen(command, cwd=ROOT, stdout=theirs, stderr=subprocess.PIPE)
    os.close(theirs)
    printed = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # how Linux says that the other side is closed
            break
        if not part:
            break
        printed += part
    os.close(ours)
    said = process.stderr.read()
    process.stderr.close()
    assert process.wait() == 0, said
    text = re.sub(r"\x1b\[[0-9;]*m", "", printed.decode())
    reports = text.split("\0")
    assert len(reports) == len(REPORTS) + 1
    for words, report in zip(REPORTS, reports, strict=False):
        lines = report.splitlines()
        assert len(lines) > 10, words
        assert [line for line in lines if cell_len(line.rstrip()) > columns] == [], words


def nutricheck(*words, **variables):
    return warm.run("nutricheck", *words, **variables)


@pytest.fixture(scope="module")
def locales(tmp_path_factory):
    """German in UTF-8 and Turkish in ISO 8859-9, made from the system's sources of locales."""
    folder = tmp_path_factory.mktemp("locales")
    for name, charset in (("de_DE", "UTF-8"), ("tr_TR", "ISO-8859-9")):
        command = ["localedef", "-i", name, "-f", charset, str(folder / f"{name}.{charset}")]
        try:
            subprocess.run(command, check=True, capture_output=True)
        except (OSError, subprocess.CalledProcessError) as error:
            pytest.skip(f"locales cannot be made here ({error})")
    return folder


@pytest.mark.parametrize("name", ["de_DE.UTF-8", "tr_TR.ISO-8859-9"])
def test_locale_with_a_decimal_comma(name, locales, usual):
    """And with Turkish, whose capital of i is not I, and whose usual encoding lacks ≥ and –."""
    variables = {"LC_ALL": name, "LOCPATH": str(locales)} | PLAIN_PYTHON
    assert outputs(IN_LOCALE, **variables) == usual


@pytest.mark.parametrize(
    "variables",
    [
        {"LC_ALL": "C"} | PLAIN_PYTHON,
        {"PYTHONIOENCODING": "cp1252"},  # what Windows gives to files and pipes
        {"TZ": "Pacific/Kiritimati"},
        {"TZ": "nonsense/place"},
    ],
    ids=["C", "Windows", "day ahead", "unknown zone"],
)
def test_encoding_and_time_zone(variables, usual):
    assert outputs(**variables) == usual


@pytest.mark.parametrize(
    ("encoding", "carried", "unit"), [("latin-1", "°C", "µg"), ("ascii", "?C", "ug")]
)
def test_terminal_of_another_encoding(encoding, carried, unit):
    """A terminal gets its own encoding, with ? for what that lacks, and ug for µg."""
    pty = pytest.importorskip("pty", reason="no pseudo-terminals here")
    parent, child = pty.openpty()
    line = [sys.executable, "-m", "nutricheck", "check", str(PLAN), "--draws", "20", "--all"]
    environment = os.environ | {"PYTHONIOENCODING": encoding, "COLUMNS": "80"}
    with subprocess.Popen(
        line, cwd=ROOT, env=environment, stdout=child, stderr=subprocess.PIPE
    ) as process:
        os.close(child)
        shown = b""
        while True:
            try:
                piece = os.read(parent, 1 << 16)
            except OSError:  # how Linux tells that the other side was closed
                break
            if not piece:
                break
            shown += piece
        os.close(parent)
        assert process.stderr.read() == b""
    assert process.returncode == 0
    assert carried.encode(encoding) in shown and b"\xe2\x89\xa5" not in shown
    assert re.search(rf"\b{unit}\b", shown.decode(encoding))


def test_line_ends_of_windows_and_byte_order_mark(tmp_path, usual):
    windows = b"\xef\xbb\xbf" + PLAN.read_bytes().replace(b"\n", b"\r\n")
    (tmp_path / PLAN.name).write_bytes(windows)
    done = nutricheck("check", tmp_path / PLAN.name, "--draws", "20")
    assert (done.returncode, done.stdout) == (0, usual[1]), done.stderr


@pytest.mark.parametrize("name", EACH)
def test_paths_with_spaces_and_other_letters(tmp_path, name):
    command = COMMANDS[name]
    given = inputs(tmp_path / "plain")
    odd = tmp_path / "für unterwegs ' % # ½ 食"
    odd_inputs = odd / "in\u0301 puts"
    shutil.copytree(given, odd_inputs)
    for folder, source in ((tmp_path / "plain", given), (odd, odd_inputs)):
        (folder / name).mkdir()
        done = command.run(source, folder / name)
        assert done.returncode == 0, done.stderr
    for written in command.writes:
        usual = content(tmp_path / "plain" / name / written)
        found = content(odd / name / written)
        if written not in ("out.csv", "out.xlsx"):  # these name the plan or the file
            assert found == usual
    if name == "build sr28":
        done = nutricheck("food", "turnip", "--table", odd / name)
        assert done.returncode == 0, done.stderr


def test_names_that_are_no_text(tmp_path):
    """Names that no encoding reads: used where it can be, else one clear error."""
    if sys.platform != "linux":
        pytest.skip("file names are text here")
    folder = tmp_path / "by\udcffte"
    folder.mkdir()
    plan = folder / "plan.toml"
    plan.write_bytes(PLAN.read_bytes())
    for words in (
        ["check", plan],
        ["check", plan, "--json"],
        ["page", plan, "-o", folder / "p.html"],
    ):
        done = nutricheck(*words)
        assert done.returncode == 0, done.stderr
    for words in (
        ["check-many", plan],
        ["check-many", plan, "--out", folder / "out.csv"],
        ["food", "spinach", "--table", folder],
    ):
        done = nutricheck(*words)
        assert done.returncode == 1
        assert_message(done.stderr)
    assert {path.name for path in folder.iterdir()} == {"plan.toml", "p.html"}


def test_links(tmp_path):
    """Plans, tables and inputs may be links; a link that leads nowhere or in circles is told."""
    given = inputs(tmp_path / "given")
    for source in ("sr28", "fdc"):
        for file in list((given / source).iterdir()):
            file.rename(file.with_name(f"real {file.name}"))
            file.symlink_to(f"real {file.name}")
    (tmp_path / "plan.toml").symlink_to(PLAN)
    (tmp_path / "out").symlink_to(tmp_path / "built")
    (tmp_path / "built").mkdir()
    for name in ("build sr28", "build fdc"):
        assert COMMANDS[name].run(given, tmp_path / "out").returncode == 0
    (tmp_path / "table.sqlite").symlink_to("out/table.sqlite")
    assert nutricheck("food", "beet", "--table", tmp_path / "table.sqlite").returncode == 0
    assert nutricheck("check", tmp_path / "plan.toml", "--csv").returncode == 0
    (tmp_path / "circle.toml").symlink_to("circle.toml")
    (tmp_path / "nowhere.toml").symlink_to("none.toml")
    (tmp_path / "fdc").mkdir()
    (tmp_path / "fdc" / "food.csv").symlink_to("food.csv")
    for line in (
        ["nutricheck", "check", tmp_path / "circle.toml"],
        ["nutricheck", "check", tmp_path / "nowhere.toml"],
        ["nutricheck", "check-many", tmp_path / "circle.toml"],
        ["nutricheck", "food", "x", "--table", tmp_path / "circle.toml"],
        ["nutricheck", "export", PLAN, "-o", tmp_path / "circle.toml" / "out.xlsx"],
        ["data_builder", "build", "fdc", tmp_path / "fdc"],
        ["data_builder", "build", "fdc", tmp_path / "circle.toml"],
        ["data_builder", "build", "own", tmp_path / "circle.toml"],
    ):
        done = warm.run(*line)
        assert done.returncode == 1, line
        assert_message(done.stderr)


def test_new_plan_through_a_link_that_leads_nowhere_yet(tmp_path):
    """A link to a file that is not there yet: the file is made where the link leads."""
    (tmp_path / "link.toml").symlink_to(tmp_path / "there.toml")
    assert nutricheck("new", tmp_path / "link.toml").returncode == 0
    assert (tmp_path / "link.toml").is_symlink()
    tomllib.loads((tmp_path / "there.toml").read_text("utf-8"))


@pytest.mark.parametrize(
    "words",
    [
        "nutricheck check {end}.toml",
        "nutricheck check {end}.xlsx",
        "nutricheck check-many {end}.csv",
        "nutricheck food oats --table {end}",
        "data_builder build sr28 {end}",
        "data_builder build fdc {end}",
        "data_builder build own {end}.csv",
        "data_builder get fdc-foundation --local {end}",
    ],
)
def test_a_device_without_end(tmp_path, words):
    if not os.path.exists("/dev/zero"):
        pytest.skip("no /dev/zero here")
    for ending in ("", ".toml", ".xlsx", ".csv"):
        (tmp_path / f"endless{ending}").symlink_to("/dev/zero")
    done = warm.run(*words.format(end=tmp_path / "endless").split(), timeout_s=60)
    assert done.returncode == 1
    assert_message(done.stderr)
