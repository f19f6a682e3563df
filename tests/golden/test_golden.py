"""Written numbers: demos, supplies and priorities give today what they gave when last reviewed."""

import json

import pytest
from golden_cases import FILE, PARTS, plain

WRITTEN = json.loads(FILE.read_text(encoding="utf-8"))


def _differences(written, now, where=""):
    """Where two trees differ: numbers by more than a millionth, all else at all."""
    if isinstance(written, dict) and isinstance(now, dict):
        for key in written.keys() | now.keys():
            yield from _differences(written.get(key), now.get(key), f"{where} / {key}")
    elif isinstance(written, list) and isinstance(now, list) and len(written) == len(now):
        for index, (one, other) in enumerate(zip(written, now, strict=True)):
            yield from _differences(one, other, f"{where} [{index}]")
    elif isinstance(written, float | int) and isinstance(now, float | int):
        if now != pytest.approx(written, rel=1e-6, abs=1e-6):
            yield f"{where}: {written} was written, {now} is found"
    elif written != now:
        yield f"{where}: {written!r} was written, {now!r} is found"


@pytest.mark.parametrize("part", list(PARTS))
def test_the_written_numbers_still_stand(part):
    differences = list(_differences(WRITTEN[part], plain(PARTS[part]())))
    assert not differences, "\n".join(differences[:20])
