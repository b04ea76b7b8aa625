"""Long checks of the journal, each with its figures: `python -m tests.bench.journal [NAME ...]`, all without a name.

writers    8 processes append 500 entries each at once: none lost, none torn
kills      200 processes killed at random moments: every entry told as saved is there
full       a full file system (tmpfs, needs the right to mount) and a full file (RLIMIT_FSIZE), through the program
read-only  a file system mounted read-only, through the program
million    report, gaps and worklist over 1,000,000 entries: memory under 150 MiB, time at most 3 times a bare loop of
           json.loads over the same files, a bar on a terminal. RUNGBOOK_BENCH_ENTRIES sets another number.
"""

from __future__ import annotations

import datetime
import os
import pty
import random
import resource
import select
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from assistant.journal import record as records
from assistant.journal.reading import entries, files, verify

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT / "tests"))

import journals  # noqa: E402 - shared with the tests, which import it without a package

WRITERS, EACH, KILLS = 8, 500, 200
MANY = int(os.environ.get("RUNGBOOK_BENCH_ENTRIES", "1000000"))
A_FILE = 20_000  # entries in one file
MOST_MEMORY, MOST_TIME = 150.0, 3.0  # MiB, and times the bare loop
QUESTION = "hip hikes on an 8 inch step, how do I make step-ups easier?"
_BARE = """
import json, sys
count = 0
for path in sys.argv[1:]:
    with open(path, "rb") as file:
        for line in file:
            json.loads(line)
            count += 1
print(count)
"""


def say(name: str, fine: bool, figures: str) -> bool:
    """Print one result."""
    print(f"{'holds' if fine else 'FAILS'}  {name.ljust(12)} {figures}", flush=True)
    return fine


def forked(work: Callable[[], None]) -> int:
    """Run in a forked child; returns its process id."""
    child = os.fork()
    if child == 0:
        try:
            work()
            os._exit(0)
        except BaseException as error:
            print(error, file=sys.stderr)
            os._exit(1)
    return child


# -- writing ---------------------------------------------------------------------------------------------------------


def writers(folder: Path) -> bool:
    """Several processes at once."""

    def work(number: int) -> None:
        store = journals.store(folder)
        for turn in range(EACH):
            store.append(journals.entry(f"q {number} {turn}"))

    began = time.monotonic()
    children = [forked(lambda number=number: work(number)) for number in range(WRITERS)]  # type: ignore[misc]
    ends = [os.waitpid(child, 0)[1] for child in children]
    took = time.monotonic() - began
    good, faults = verify(folder)
    found = sorted(record["question"] for record in entries(folder))
    whole = found == sorted(f"q {n} {t}" for n in range(WRITERS) for t in range(EACH))
    return say("writers", whole and not any(ends) and not faults.count,
               f"{WRITERS} x {EACH}: {good} good lines, {faults.count} torn, {took:.1f} s")  # fmt: skip


def kills(folder: Path) -> bool:
    """Killed at random moments; what was told as saved, through a pipe after the append returned, must be there."""
    chance, told, deaths = random.Random(200), set[str](), 0
    for _ in range(KILLS):
        reader, writer = os.pipe()

        def work(out: int = writer) -> None:
            store = journals.store(folder)
            while True:
                os.write(out, (store.append(journals.entry("x" * chance.randrange(2000))) + "\n").encode())

        child = forked(work)
        os.close(writer)
        time.sleep(chance.uniform(0.002, 0.08))
        os.kill(child, signal.SIGKILL)
        deaths += os.WIFSIGNALED(os.waitpid(child, 0)[1])
        with os.fdopen(reader, "rb") as pipe:
            told |= {line.decode() for line in pipe.read().split(b"\n") if len(line) == 16}
    kept = {record["id"] for record in entries(folder)}
    _, faults = verify(folder)
    return say("kills", deaths == KILLS and bool(told) and told <= kept,
               f"{deaths} killed, {len(told)} told as saved, {len(told - kept)} of them missing, {len(kept) - len(told)} more "
               f"kept, {faults.count} torn lines set aside")  # fmt: skip


# -- when it cannot be written: the real program -----------------------------------------------------------------------


def asked(folder: Path, limit: int = 0) -> tuple[int, str, str]:
    """Ask through the program; `limit` is how far a file may grow (bytes)."""

    def limited() -> None:
        if limit:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    done = subprocess.run(
        [sys.executable, "-m", "assistant", "ask", "--journal", str(folder), QUESTION],
        cwd=ROOT, capture_output=True, text=True, check=False, preexec_fn=limited,
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


def answered(result: tuple[int, str, str], *words: str) -> bool:
    """Whether the answer was shown, with exactly one line of warning that holds one of the words."""
    status, out, err = result
    lines = err.strip().splitlines()
    return status == 0 and "step" in out and len(lines) == 1 and any(word in lines[0] for word in words)


def full(folder: Path) -> bool:
    """A file that may not grow, then a file system without room."""
    asked(folder)
    path = files(folder)[0]
    before = path.read_bytes()
    result = asked(folder, limit=len(before) + 300)
    fine = say("full file", answered(result, "grow", "full") and path.read_bytes() == before, result[2].strip())
    mounted = folder / "small"
    with Mounted(mounted, "size=120k") as there:
        if not there:
            return say("full disk", fine, "not tried: no right to mount a file system here") and fine
        count = 0
        while (result := asked(mounted))[2] == "" and count < 100:
            count += 1
        good, faults = verify(mounted)
        whole = answered(result, "full") and (good, faults.count) == (count, 0)
        fine &= say("full disk", whole, f"{count} entries fitted, {good} are whole; {result[2].strip()}")
        return fine


def read_only(folder: Path) -> bool:
    """A file system that was mounted read-only after the first entries."""
    mounted = folder / "fixed"
    with Mounted(mounted, "size=1m") as there:
        if not there:
            return say("read-only", True, "not tried: no right to mount a file system here")
        asked(mounted)
        subprocess.run(["mount", "-o", "remount,ro", str(mounted)], check=True)
        result = asked(mounted)
        return say("read-only", answered(result, "read-only") and verify(mounted)[0] == 1, result[2].strip())


class Mounted:
    """A small file system in memory; gives False where it cannot be had."""

    def __init__(self, where: Path, options: str) -> None:
        self.where, self.options, self.there = where, options, False

    def __enter__(self) -> bool:
        self.where.mkdir(parents=True)
        order = ["mount", "-t", "tmpfs", "-o", f"{self.options},mode=700", "tmpfs", str(self.where)]
        try:
            self.there = subprocess.run(order, capture_output=True, check=False).returncode == 0
        except FileNotFoundError:
            self.there = False
        return self.there

    def __exit__(self, *_: object) -> None:
        if self.there:
            subprocess.run(["umount", str(self.where)], check=True)


# -- reading much ----------------------------------------------------------------------------------------------------


def fill(folder: Path, count: int) -> None:
    """Entries of many days and five coaches: a tenth unsure, a twentieth referred, every twentieth reviewed."""
    chance = random.Random(1)
    movements = ["step-up", "squat", "split-squat", "hip-hinge", "floor-transfer", "leg-press"]
    troubles = [
        "wobbles",
        "hikes the hip",
        "is afraid",
        "hurts",
        "tires",
        "leans",
        "drops",
        "will not let go",
        "shakes",
    ]
    kit = ["on the ramp", "with the sled", "in the pool", "on turf", "with cuffs", "after lunch", "in socks", "at home"]
    folder.mkdir(mode=0o700, parents=True)
    for start in range(0, count, A_FILE):
        number = start // A_FILE
        day = journals.NOON - datetime.timedelta(days=number // 5)
        coach = f"c{number % 5}"
        parent = before = ""
        name = f"{day.date().isoformat()}.{coach}.m1"
        with (
            (folder / f"{name}.jsonl").open("wb") as out,
            (folder / f"{name}.review.jsonl").open("wb") as reviews,
        ):
            for turn in range(start, min(count, start + A_FILE)):
                which = chance.random()
                movement = chance.choice(movements)
                status = "unsure" if which < 0.1 else "refer" if which < 0.15 else "answered"
                question = f"{chance.choice(troubles)} {chance.choice(kit)} in the {movement}, {chance.randrange(50, 95)} years"
                record = journals.entry(
                    question, now=day, coach=coach, status=status, urgency="soon" if status == "refer" else None,
                    client=f"a{turn % 400}", score=round(chance.uniform(3, 20), 2), answer="Lower the step. " * 20,
                    understood={"intent": "regress", "movements": [movement], "conditions": ["hip-replacement"],
                                "equipment": [], "facts": {"age": 70.0}, "carried": []},
                )  # fmt: skip
                line, parent = records.encode({**record, "parent": parent})
                out.write(line)
                if turn % 20 == 0:
                    review = {**records.head(records.REVIEW, day, "mentor"), "entry": record["id"],
                              "verdict": chance.choice(["sound", "sound", "amend", "wrong"]), "comment": "",
                              "better": "One pole.", "outcome": "", "parent": before}  # fmt: skip
                    line, before = records.encode(review)
                    reviews.write(line)


def measured(order: list[str]) -> tuple[float, float, str]:
    """Processor seconds, peak memory in MiB, and the output of a process."""
    process = subprocess.Popen(order, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    out = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0, (order, process.returncode)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, out


def million(folder: Path) -> bool:
    """The mentor's commands over very many entries."""
    made = folder / "many"
    asked(folder)  # the knowledge is compiled once after each change of it, by whatever runs first
    fill(made, MANY)
    paths = [str(path) for path in files(made, "*")]
    total = sum(os.path.getsize(path) for path in paths)
    bare, _, counted = measured([sys.executable, "-c", _BARE, *paths])
    print(
        f"       {MANY} entries, {total >> 20} MiB in {len(paths)} files, {counted.strip()} lines: bare loop {bare:.1f} s"
    )
    fine = True
    for name, *order in (
        ("report", "review", "report"), ("gaps", "review", "gaps"), ("worklist", "review", "next"),
        ("list", "log", "list"), ("verify", "log", "verify"),
    ):  # fmt: skip
        took, memory, out = measured([sys.executable, "-m", "assistant", *order, "--journal", str(made)])
        held = memory < MOST_MEMORY and took <= MOST_TIME * bare and bool(out)
        fine &= say(name, held, f"{took:.1f} s, {took / bare:.2f} times the bare loop, at most {memory:.0f} MiB")
    return say("bar", bar_shown(made), "a bar in numbers on a terminal") and fine


def bar_shown(folder: Path) -> bool:
    """Whether `review report` draws a bar while it reads, on a terminal."""
    main, end = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "assistant", "review", "report", "--journal", str(folder)],
        cwd=ROOT, stdout=subprocess.DEVNULL, stderr=end, env={**os.environ, "TERM": "xterm-256color"},
    )  # fmt: skip
    os.close(end)
    shown = b""
    while process.poll() is None:
        if select.select([main], [], [], 0.2)[0]:
            try:
                shown += os.read(main, 1 << 16)
            except OSError:
                break
    process.wait()
    os.close(main)
    return b"counting" in shown and b"MB" in shown


CHECKS = {"writers": writers, "kills": kills, "full": full, "read-only": read_only, "million": million}


def main(names: list[str]) -> int:
    """Run the checks named, or all; 1 when one fails, 2 for a name that is none."""
    strange = [name for name in names if name not in CHECKS]
    if strange:
        print(f"no check {strange[0]!r}: one of {', '.join(CHECKS)}", file=sys.stderr)
        return 2
    fine = True
    for name in names or CHECKS:
        with tempfile.TemporaryDirectory() as home:
            os.environ.update(dict.fromkeys(("HOME", "XDG_STATE_HOME", "XDG_DATA_HOME"), home))
            fine &= CHECKS[name](Path(home) / "journal")
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
