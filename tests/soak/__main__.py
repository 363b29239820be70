"""Random racks through the kernel for as long as they are let: `python -m tests.soak LOG --samples 1000`.

Every sample is a line of LOG, JSON, with its block and number; a run that is begun again goes on after the last one.
Files of samples that are wrong are kept beside LOG. A sample that took the whole process down is found begun but not
ended, and told as such when the run is begun again.
"""

from __future__ import annotations

import argparse
import faulthandler
import json
import signal
from collections import Counter
from dataclasses import asdict
from pathlib import Path

from tests.option_racks import FERN
from tests.soak.drawn import Sample, block
from tests.soak.tried import tried

BROKEN_OFF = "broken off"
"""Of a sample during which the run was told to stop; it is tried again."""

TOO_LONG = 900
"""A sample that takes longer than this, s, ends the process; the next run goes on after it."""


def main() -> int:
    """Run, or tell what a log holds."""
    ask = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__)
    ask.add_argument("log", type=Path, help="file of results; a new one, or one to go on with")
    ask.add_argument("--samples", type=int, default=1000, help="that reach the kernel, in the whole log")
    ask.add_argument("--block", type=int, default=0, help="first seed")
    ask.add_argument("--told", action="store_true", help="only tell what the log holds")
    asked = ask.parse_args()
    if not asked.told:
        signal.signal(signal.SIGTERM, signal.default_int_handler)
        soak(asked.log, asked.samples, asked.block)
    rows = results(asked.log)
    print(told(rows))  # noqa: T201
    return 1 if any(row["outcome"] in ("wrong", "traceback", "ended the process") for row in rows) else 0


def results(log: Path) -> list[dict[str, object]]:
    """Return the log's results, those that ended the process among them."""
    rows = [json.loads(line) for line in log.read_text("utf-8").splitlines()] if log.exists() else []
    ended = {row["digest"] for row in rows if "outcome" in row}
    lost = [row | {"outcome": "ended the process"} for row in rows if "outcome" not in row]
    return [row for row in rows if "outcome" in row] + [row for row in lost if row["digest"] not in ended]


def soak(log: Path, wanted: int, first: int) -> None:
    """Try sample after sample until so many have reached the kernel."""
    log.parent.mkdir(parents=True, exist_ok=True)
    before = [row for row in results(log) if row["outcome"] != BROKEN_OFF]
    done = {row["digest"] for row in before}
    through = sum(1 for row in before if row.get("parts"))
    while through < wanted:
        for sample in block(first):
            if sample.digest in done or through >= wanted:
                continue
            done.add(sample.digest)
            here = {"block": sample.block, "number": sample.number, "digest": sample.digest}
            _write(log, here)
            faulthandler.dump_traceback_later(TOO_LONG, exit=True)
            try:
                result = tried(sample)
            except KeyboardInterrupt:
                _write(log, here | {"outcome": BROKEN_OFF})
                return
            faulthandler.cancel_dump_traceback_later()
            through += result.parts > 0
            _write(log, here | asdict(result))
            if result.wrong:
                _keep(log.parent / f"{sample.block}-{sample.number}-{sample.digest}", sample)
        first += 1


def _write(log: Path, row: dict[str, object]) -> None:
    with log.open("a", encoding="utf-8") as file:
        file.write(json.dumps(row) + "\n")


def _keep(folder: Path, sample: Sample) -> None:
    folder.mkdir(exist_ok=True)
    for name, text in sample.texts.items():
        (folder / f"{name}.toml").write_text(text, "utf-8")
    (folder / "fern.svg").write_text(FERN, "utf-8")


def told(rows: list[dict[str, object]]) -> str:
    """Return a log in words."""
    seconds = sum(float(str(row.get("seconds", 0))) for row in rows)
    through = sum(1 for row in rows if row.get("parts"))
    counts = ", ".join(f"{count} {outcome}" for outcome, count in Counter(row["outcome"] for row in rows).most_common())
    return f"{len(rows)} samples, {through} through the kernel, {seconds / 3600:.2f} h of CPU: {counts}"


if __name__ == "__main__":
    raise SystemExit(main())
