"""A fixed mix of 200 changes of the July plan in the editor, against a warm check of the same plan.

Both are done in turn in one process, so that a busy machine slows both alike; the figure is the
median of the ratios of their processor times. The check is that of the changed data, read and
answered as here: ``nutricheck.check`` and the answer without what to do. Then the time to the first
page against a whole ``nutricheck check``, and what 10,000 changes leave in memory.

``python tests/benchmarks/bench_editor.py changes first_page memory``: all, or those named.
"""

from __future__ import annotations

import gc
import os
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib
import urllib.request
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from random import Random

from ratio import python, seconds

import nutricheck as nc
from nutricheck.advice.answer import answer
from nutricheck.cli.options import small_frames
from nutricheck.editor.session import Session
from nutricheck.errors import Change
from nutricheck.foods import open_table
from nutricheck.report.data import result_json

PLAN = Path("samples/july_survey.toml")
CHANGES = int(os.environ.get("CHANGES", "200"))
MEMORY_DRAWS = int(os.environ.get("DRAWS", "100"))
MOST_MORE_MB = 20
MOST_OF_ALL, MOST_OF_SMALL, MOST_OF_FIRST = 0.6, 0.4, 1.5


#: Of twenty changes in a row so many of each kind, as a plan is made: amounts most.
KINDS = (
    *["portion"] * 5,
    *["label"] * 3,
    *["packed"] * 2,
    *["drying"] * 2,
    *["fresh mass"] * 2,
    *["day", "days", "person", "mix", "storage", "title"],
)
_WEIGHED = (0, 1, 15)  # portions in grams


def mix(changes: int = CHANGES) -> Iterator[tuple[str, Change]]:
    """A fixed mix of changes, each new."""
    random = Random(9)
    for number in range(changes):
        if number % len(KINDS) == 0:
            kinds = random.sample(KINDS, len(KINDS))
        kind = kinds[number % len(KINDS)]
        step = number % 300
        yield (
            kind,
            {
                "portion": (("portions", random.choice(_WEIGHED), "amount"), f"{30 + step} g"),
                "label": (("label", 0, "amounts", random.choice(["NA", "K"])), f"{200 + step} mg"),
                "packed": (("packed", random.randrange(4), "mass"), f"{2000 + step} g"),
                "drying": (
                    ("batch", random.randrange(3), "drying", "temperature"),
                    f"{45 + step / 20:.2f} °C",
                ),
                "fresh mass": (("batch", 3, "ingredients", 0, "mass"), f"{2500 + step} g"),
                "day": (
                    ("days", random.randrange(3), "air_temperature"),
                    f"{25 + step / 30:.2f} °C",
                ),
                "days": (("days", 0, "count"), 10 + number % 7),
                "person": (("person", "mass"), f"{55 + step / 20:.2f} kg"),
                "mix": (("mix", 1, "parts", 0, "mass"), f"{150 + step} g"),
                "storage": (("batch", 1, "storage"), {"time": f"{1 + number % 90} days"}),
                "title": (("trip", "title"), f"July {number}"),
            }[kind],
        )


def changes() -> bool:
    """The table of latencies; whether its bounds hold."""
    small_frames()
    table = open_table()
    session = Session(tomllib.loads(PLAN.read_text("utf-8")), table)
    answer(nc.check(session.data, table=table), with_actions=False)
    times: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for number, (kind, change) in enumerate(mix()):
        start = time.process_time()
        session.change([change])
        middle = time.process_time()
        fresh = nc.check(session.data, table=table)
        answer(fresh, with_actions=False)
        times[kind].append((middle - start, time.process_time() - middle))
        if number % 20 == 0 and result_json(session.result) != result_json(fresh):
            sys.stdout.write(f"change {number}: another result than a fresh check\n")
            return False
    times["all"] = [pair for pairs in times.values() for pair in pairs]
    kept = True
    sys.stdout.write("kind         changes  change [ms]  check [ms]  ratio\n")
    for kind in (*dict.fromkeys(KINDS), "all"):
        pairs = times[kind]
        found = statistics.median(ours / theirs for ours, theirs in pairs)
        ours, theirs = (1000 * statistics.median(side) for side in zip(*pairs, strict=True))
        most = {"all": MOST_OF_ALL, "portion": MOST_OF_SMALL, "label": MOST_OF_SMALL}.get(kind)
        is_kept = most is None or found <= most
        kept &= is_kept
        bound = "" if most is None else f" (at most {most}) {'kept' if is_kept else 'NOT KEPT'}"
        sys.stdout.write(
            f"{kind:12} {len(pairs):7} {ours:12.0f} {theirs:11.0f}  {found:5.2f}{bound}\n"
        )
    return kept


def first_page() -> bool:
    """From the command to the first page, against a whole check."""
    command = python("-m", "nutricheck", "open", "--no-browser", str(PLAN))
    check = python("-m", "nutricheck", "check", str(PLAN))
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"NUTRICHECK_STATE": folder}

        def once() -> float:
            start = time.perf_counter()
            with subprocess.Popen(
                command, stderr=subprocess.PIPE, text=True, env=environment
            ) as process:
                assert process.stderr is not None
                address = process.stderr.readline().split()[-1]
                opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
                while True:
                    try:
                        opener.open(address).read()
                        break
                    except OSError:
                        time.sleep(0.01)
                opener.open(f"{address.partition('/start')[0]}/want").read()
                found = time.perf_counter() - start
                process.terminate()
            return found

        once()
        seconds(check)
        pairs = [(once(), seconds(check)) for _ in range(5)]
    ratio = statistics.median(ours / theirs for ours, theirs in pairs)
    kept = ratio <= MOST_OF_FIRST
    sys.stdout.write(
        f"first page: {ratio:.2f} of a whole check (at most {MOST_OF_FIRST}) "
        f"{'kept' if kept else 'NOT KEPT'}\n"
    )
    return kept


def memory() -> bool:
    """What 10,000 changes of the mix leave: resident memory and objects, by the thousand."""
    small_frames()
    session = Session(tomllib.loads(PLAN.read_text("utf-8")), draws=MEMORY_DRAWS)
    sizes = []
    for number, (_, change) in enumerate(mix(10_000), start=1):
        session.change([change])
        if number % 1000 == 0:
            gc.collect()
            sizes.append(_resident_mb())
            sys.stdout.write(
                f"{number:6} changes: {sizes[-1]:.0f} MB, {len(gc.get_objects()):,} objects\n"
            )
            sys.stdout.flush()
    more = sizes[-1] - sizes[1]
    kept = more < MOST_MORE_MB
    sys.stdout.write(
        f"memory: {more:+.1f} MB from change 2,000 to 10,000 (less than {MOST_MORE_MB}) "
        f"{'kept' if kept else 'NOT KEPT'}\n"
    )
    return kept


def _resident_mb() -> float:
    """What the process holds of the machine's memory. [MB]"""
    with open("/proc/self/statm", encoding="ascii") as file:
        pages = int(file.read().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


if __name__ == "__main__":
    chosen = sys.argv[1:] or ["changes", "first_page", "memory"]
    steps = {"changes": changes, "first_page": first_page, "memory": memory}
    kept = [steps[name]() for name in chosen]
    sys.exit(not all(kept))
