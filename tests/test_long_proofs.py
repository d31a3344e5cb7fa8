"""The list of long proofs names tests that there are."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.long_proofs import LONG_PROOFS

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize("listed", LONG_PROOFS)
def test_a_long_proof_is_a_test(listed):
    path, name = listed.split("::")
    assert f"\ndef {name.partition('[')[0]}(" in (ROOT / path).read_text("utf-8")
