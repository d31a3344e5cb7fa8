"""A fixed mix of 200 changes of the July plan in the editor, against a warm check of the same plan.

Both are done in turn in one process, so that a busy machine slows both alike; the figure is the
median of the ratios. The check is that of the changed data, read and answered as here:
``nutricheck.check`` and the answer without what to do. Then the time to the first page against a
whole ``nutricheck check``, and what 10,000 changes leave in memory.
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
import tracemalloc
import urllib.request
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from random import Random

from ratio import python, seconds

import nutricheck as nc
from nutricheck.advice.answer import answer
from nutricheck.editor.session import Session
from nutricheck.errors import Change
from nutricheck.foods import open_table
from nutricheck.report.data import result_json

PLAN = Path("samples/july_survey.toml")
CHANGES = int(os.environ.get("CHANGES", "200"))
MOST_OF_ALL, MOST_OF_SMALL, MOST_OF_FIRST = 0.6, 0.4, 1.5


def mix() -> Iterator[tuple[str, Change]]:
    """200 changes: of ten, four portions, two packed masses, two labels, a drying, a fresh mass."""
    random = Random(9)
    kinds = ["portion"] * 4 + ["packed"] * 2 + ["label"] * 2 + ["drying", "fresh mass"]
    weighed = {0: "plateau", 1: "oats", 15: "drink"}
    for number in range(CHANGES):
        kind = kinds[number % len(kinds)]
        if kind == "portion":
            yield kind, (("portions", random.choice(list(weighed)), "amount"), f"{30 + number} g")
        elif kind == "packed":
            yield kind, (("packed", random.randrange(4), "mass"), f"{2000 + number} g")
        elif kind == "label":
            yield kind, (("label", 0, "amounts", random.choice(["NA", "K"])), f"{200 + number} mg")
        elif kind == "drying":
            yield (
                kind,
                (("batch", random.randrange(3), "drying", "temperature"), f"{45 + number % 20} °C"),
            )
        else:
            yield kind, (("batch", 3, "ingredients", 0, "mass"), f"{2500 + number} g")


def changes() -> bool:
    """The table of latencies; whether its bounds hold."""
    table = open_table()
    session = Session(tomllib.loads(PLAN.read_text("utf-8")), table)
    answer(nc.check(session.data, table=table), with_actions=False)
    ratios: dict[str, list[float]] = defaultdict(list)
    for number, (kind, change) in enumerate(mix()):
        start = time.perf_counter()
        session.change([change])
        middle = time.perf_counter()
        fresh = nc.check(session.data, table=table)
        answer(fresh, with_actions=False)
        ratios[kind].append((middle - start) / (time.perf_counter() - middle))
        if number % 20 == 0 and result_json(session.result) != result_json(fresh):
            sys.stdout.write(f"change {number}: another result than a fresh check\n")
            return False
    everything = [ratio for own in ratios.values() for ratio in own]
    kept = True
    for kind, own, most in (
        *(
            (kind, own, MOST_OF_SMALL if kind in ("portion", "label") else None)
            for kind, own in ratios.items()
        ),
        ("all", everything, MOST_OF_ALL),
    ):
        found = statistics.median(own)
        is_kept = most is None or found <= most
        kept &= is_kept
        bound = "" if most is None else f" (at most {most}) {'kept' if is_kept else 'NOT KEPT'}"
        sys.stdout.write(f"{kind}: {len(own)} changes, median ratio {found:.2f}{bound}\n")
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
            ) as own:
                assert own.stderr is not None
                address = own.stderr.readline().split()[-1]
                opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
                while True:
                    try:
                        opener.open(address).read()
                        break
                    except OSError:
                        time.sleep(0.01)
                opener.open(f"{address.partition('/start')[0]}/want").read()
                found = time.perf_counter() - start
                own.terminate()
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
    """What 10,000 changes leave, after the first thousand."""
    session = Session(tomllib.loads(PLAN.read_text("utf-8")), draws=0)
    session.change([(("person",), None)])  # no answer: the data, its history and the form alone
    tracemalloc.start()
    sizes = []
    for number in range(10_000):
        session.change([(("portions", number % 18, "amount"), f"{number + 1} g")])
        if number % 1000 == 999:
            gc.collect()
            sizes.append(tracemalloc.get_traced_memory()[0])
    tracemalloc.stop()
    more = (sizes[-1] - sizes[1]) / 1e6
    sys.stdout.write(f"memory: {more:+.2f} MB from change 2,000 to 10,000\n")
    return more < 1


if __name__ == "__main__":
    chosen = sys.argv[1:] or ["changes", "first_page", "memory"]
    steps = {"changes": changes, "first_page": first_page, "memory": memory}
    kept = [steps[name]() for name in chosen]
    sys.exit(not all(kept))
