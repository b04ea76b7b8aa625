"""The journal loses nothing, says what is wrong, and forgets what it is told to forget."""

from __future__ import annotations

import datetime
import errno
import json
import os
import random
import resource
import shutil
import signal
import stat
import time
from collections.abc import Callable
from pathlib import Path

import journals
import pytest
from journals import NOON, Run, entry

from assistant.errors import InputError
from assistant.journal import reading, upkeep
from assistant.journal import record as records
from assistant.journal import store as storing
from assistant.journal.places import code, journal_folder, machine_code, state_home
from assistant.journal.reading import Faults, entries, files, verify
from assistant.journal.search import Filter
from assistant.journal.store import JournalError, Store
from assistant.mentoring.report import report
from assistant.mentoring.verdicts import Verdicts, review

SOAK = bool(os.environ.get("RUNGBOOK_SOAK"))
WRITERS, EACH = 8, 500 if SOAK else 20
KILLS = 200 if SOAK else 10
ROOT_FREE = 65534


def fill(folder: Path, *questions: str) -> Path:
    store = journals.store(folder)
    for question in questions:
        store.append(entry(question))
    store.close()
    return files(folder)[0]


def questions(folder: Path) -> list[str]:
    return [record["question"] for record in entries(folder)]


def in_child(work: Callable[[], None]) -> int:
    """Run in a forked child; returns its process id."""
    child = os.fork()
    if child == 0:
        try:
            work()
            os._exit(0)
        except BaseException:
            os._exit(1)
    return child


# -- writing ---------------------------------------------------------------------------------------------------------


def test_file_is_named_after_day_coach_and_machine_and_closed_to_others(folder: Path) -> None:
    path = fill(folder, "one", "two")
    assert path.name == "2026-06-15.c1.m1.jsonl"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert questions(folder) == ["one", "two"]


def test_line_holds_what_was_promised(run: Run, folder: Path) -> None:
    run("ask", "--journal", str(folder), "--coach", "C7", "how long should poles be for 5'6")
    record = next(entries(folder))
    assert {"id", "time", "coach", "client", "conversation", "question", "understood", "status", "rules", "figures",
            "knowledge", "version", "checksum", "format", "answer", "urgency"} <= set(record)  # fmt: skip
    assert record["coach"] == "c7" and datetime.datetime.fromisoformat(record["time"]).tzinfo is not None
    assert record["figures"][0]["quantity"] == "pole-length"
    raw = files(folder)[0].read_bytes().splitlines()[0]
    body = {key: value for key, value in json.loads(raw).items() if key != "checksum"}
    assert raw.startswith(records.canonical(body)[:-1])


def test_loose_folder_of_ours_is_closed_and_a_shared_one_is_let_be(tmp_path: Path) -> None:
    ours, shared = tmp_path / "ours", tmp_path / "shared"
    for each in (ours, shared):
        each.mkdir()
        each.chmod(0o755)
    (shared / "photo.png").write_bytes(b"")
    fill(ours, "a")
    fill(shared, "a")
    assert stat.S_IMODE(ours.stat().st_mode) == 0o700
    assert stat.S_IMODE(shared.stat().st_mode) == 0o755


def test_answer_is_shown_only_after_its_entry_is_on_disk(
    run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    real_sync = os.fsync

    def sync(handle: int) -> None:
        if stat.S_ISREG(os.fstat(handle).st_mode) and os.readlink(f"/proc/self/fd/{handle}").endswith(".jsonl"):
            steps.append("synced")
        real_sync(handle)

    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr("builtins.print", lambda *a, **k: steps.append("shown"))
    run("ask", "--json", "-", "--journal", str(folder), typed="hip hikes on step ups\nsquat depth for a sore knee\n")
    assert steps == ["synced", "shown", "synced", "shown"]


def test_no_log_writes_nothing(run: Run, folder: Path) -> None:
    assert run("ask", "--no-log", "--journal", str(folder), "hip hikes on step ups")[0] == 0
    assert not folder.exists()


def test_journal_folder_from_flag_environment_and_state_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert journal_folder(None) == tmp_path / "rungbook" / "journal"
    monkeypatch.setenv("RUNGBOOK_JOURNAL", str(tmp_path / "two"))
    assert journal_folder(None) == tmp_path / "two"
    assert journal_folder(str(tmp_path / "one")) == tmp_path / "one"
    monkeypatch.delenv("RUNGBOOK_JOURNAL")
    monkeypatch.setenv("XDG_STATE_HOME", "relative")
    assert journal_folder(None) == Path.home() / ".local/state/rungbook/journal"


def test_no_home_is_told_and_does_not_block(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def lost() -> Path:
        raise RuntimeError("no home")

    for name in ("HOME", "XDG_STATE_HOME", "XDG_DATA_HOME"):
        monkeypatch.delenv(name)
    monkeypatch.setattr(Path, "home", lost)
    status, out, err = run("ask", "hip hikes on step ups")
    assert status == 0 and out and len(err.splitlines()) == 1 and "not logged" in err


def test_machine_code_stays_and_holds_no_host_name() -> None:
    assert machine_code() == machine_code()
    assert os.uname().nodename.lower() not in machine_code()


@pytest.mark.parametrize("bad", ["../x", "a/b", "", "a b", "ä", "x" * 25, ".", "a\n"])
def test_codes_cannot_leave_the_folder(bad: str) -> None:
    if bad == "a\n":
        assert code(bad, "client") == "a"
        return
    with pytest.raises(InputError):
        code(bad, "client")


def test_many_processes_at_once_lose_and_tear_nothing(folder: Path) -> None:
    def write(number: int) -> Callable[[], None]:
        def work() -> None:
            store = journals.store(folder)
            for turn in range(EACH):
                store.append(entry(f"q {number} {turn}"))

        return work

    children = [in_child(write(number)) for number in range(WRITERS)]
    assert all(os.waitpid(child, 0)[1] == 0 for child in children)
    good, faults = verify(folder)
    assert (good, faults.count) == (WRITERS * EACH, 0), faults.kept[:3]
    assert sorted(questions(folder)) == sorted(f"q {n} {t}" for n in range(WRITERS) for t in range(EACH))


def test_what_was_told_as_saved_survives_a_kill(folder: Path) -> None:
    chance = random.Random(6)
    told: list[str] = []
    for _ in range(KILLS):
        reader, writer = os.pipe()

        def work(out: int = writer) -> None:
            store = journals.store(folder)
            while True:
                os.write(out, (store.append(entry("x" * 300)) + "\n").encode())

        child = in_child(work)
        os.close(writer)
        time.sleep(chance.uniform(0.005, 0.06))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with os.fdopen(reader, "rb") as pipe:
            told += [line.decode() for line in pipe.read().split(b"\n") if len(line) == 16]
    kept = {record["id"] for record in entries(folder)}
    assert told and set(told) <= kept


def test_torn_tail_is_set_aside_and_the_next_line_is_whole(folder: Path) -> None:
    path = fill(folder, "one", "two")
    whole = path.read_bytes()
    first = whole.index(b"\n") + 1
    for cut in (first + 1, (first + len(whole)) // 2, len(whole) - 1):
        path.write_bytes(whole[:cut])
        fill(folder, "three")
        assert questions(folder) in (["one", "three"], ["one", "two", "three"]), cut
        faults = verify(folder)[1]
        assert [(each.line, "torn" in each.what) for each in faults.kept] in ([(2, True)], []), faults.kept


def test_day_changes_and_clock_goes_back(folder: Path) -> None:
    moments = [
        NOON,
        NOON + datetime.timedelta(days=1),
        NOON - datetime.timedelta(days=2),
        NOON - datetime.timedelta(hours=1),
    ]
    store = journals.store(folder)
    for number, now in enumerate(moments):
        store.append(entry(f"q{number}", now=now))
    assert verify(folder)[1].count == 0 and len(files(folder)) == 3
    assert questions(folder) == ["q2", "q0", "q3", "q1"]


# -- when it cannot be written ---------------------------------------------------------------------------------------


def test_full_disk_leaves_no_torn_line_and_the_answer_is_shown(run: Run, folder: Path) -> None:
    path = fill(folder, "one")
    size = path.stat().st_size

    def work() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (size + 100, size + 100))
        try:
            journals.store(folder).append(entry("two"))
        except JournalError as error:
            assert "full" in str(error) or "grow" in str(error)
            os._exit(7)

    assert os.waitstatus_to_exitcode(os.waitpid(in_child(work), 0)[1]) == 7
    assert path.stat().st_size == size and questions(folder) == ["one"]


@pytest.mark.parametrize(
    ("number", "words"), [(errno.ENOSPC, "disk is full"), (errno.EROFS, "read-only"), (errno.EACCES, "no permission")]
)
def test_failure_is_said_once_a_turn_and_never_blocks(
    run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch, number: int, words: str
) -> None:
    def fail(*args: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(storing.os, "write", fail)
    status, out, err = run(
        "ask", "--json", "-", "--journal", str(folder), typed="hip hikes on step ups\nlunge hurts knee\n"
    )
    assert status == 0 and len(out.splitlines()) == 2
    assert len(err.splitlines()) == 2 and words in err and str(folder) in err


def test_read_only_folder(folder: Path) -> None:
    folder.mkdir()
    folder.chmod(0o500)

    def work() -> None:
        if os.geteuid() == 0:
            for each in (folder, *folder.parents):
                if each.stat().st_uid == 0 and str(each).startswith(str(folder.parents[1])):
                    each.chmod(each.stat().st_mode | 0o055)
            os.setgid(ROOT_FREE)
            os.setuid(ROOT_FREE)
        try:
            journals.store(folder).append(entry())
        except JournalError as error:
            os._exit(7 if "permission" in str(error) else 8)

    assert os.waitstatus_to_exitcode(os.waitpid(in_child(work), 0)[1]) == 7


def test_a_file_where_the_folder_should_be(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plain").write_text("mine")
    status, out, err = run("ask", "--journal", str(tmp_path / "plain"), "hip hikes on step ups")
    assert status == 0 and "step" in out and "not a folder" in err and len(err.splitlines()) == 1
    assert (tmp_path / "plain").read_text() == "mine"


def test_a_link_where_the_file_should_be_is_not_followed(folder: Path, tmp_path: Path) -> None:
    folder.mkdir()
    (folder / "2026-06-15.c1.m1.jsonl").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(JournalError):
        journals.store(folder).append(entry())
    assert not (tmp_path / "elsewhere").exists()


def test_a_lock_kept_by_another_does_not_hang(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = fill(folder, "one")
    monkeypatch.setattr(storing.lock, "__defaults__", (0.05,))
    with path.open("rb") as other:
        storing.lock(other.fileno(), path)
        with pytest.raises(JournalError, match="locked"):
            journals.store(folder).append(entry())


# -- reading ---------------------------------------------------------------------------------------------------------


def _forged(**change: object) -> bytes:
    return records.encode({**entry(), "parent": "", **change})[0]


def _joined(line: bytes) -> bytes:
    return line.rstrip(b"\n") + line


CORRUPTIONS: dict[str, Callable[[bytes], bytes]] = {
    "cut": lambda line: line[:100] + b"\n",
    "letter changed": lambda line: line.replace(b"two", b"tvo"),
    "status changed": lambda line: line.replace(b'"answered"', b'"refer"'),
    "two lines joined": _joined,
    "zero bytes": lambda line: b"\0" * 50 + b"\n",
    "no UTF-8": lambda line: line.replace(b"two", b"\xff\xfe"),
    "no JSON": lambda line: b"hello there\n",
    "no checksum": lambda line: b'{"format":1,"kind":"entry"}\n',
    "checksum of another": lambda line: line[:-67] + b"0" * 64 + b'"}\n',
    "a byte order mark": lambda line: b"\xef\xbb\xbf" + line,
    "a key twice": lambda line: line.replace(b'"question":', b'"question":"x","question":'),
    "fields in another order": lambda line: line.replace(b'{"answer":"Lower the step."', b'{"zebra":1,"answer":"Lower the step."'),
    "compressed": lambda line: b"\x1f\x8b\x08" + bytes(range(64, 128)) + b"\n",
    "a list": lambda line: b"[1,2,3]\n",
    "a number": lambda line: b"7\n",
    "deep": lambda line: b"[" * 100_000 + b"\n",
    "longer than any": lambda line: b"x" * (records.LONGEST + 5) + b"\n",
    "forged without fields": lambda line: records.encode({"format": 1, "kind": "entry"})[0],
    "forged with wrong fields": lambda line: _forged(question=7),
    "forged with wrong lists": lambda line: _forged(understood={"movements": "x", "conditions": []}),
    "forged kind": lambda line: _forged(kind="dance"),
    "forged kind of kind": lambda line: _forged(kind=["entry"]),
    "newer format": lambda line: _forged(format=99),
    "format of letters": lambda line: _forged(format="1"),
    "no number": lambda line: _forged(score=float(1)).replace(b"1.0", b"NaN"),
}  # fmt: skip


@pytest.mark.parametrize("kind", CORRUPTIONS)
def test_bad_line_is_set_aside_with_file_and_line(run: Run, folder: Path, kind: str) -> None:
    path = fill(folder, "one", "two", "three")
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[0] + CORRUPTIONS[kind](lines[1]) + lines[2])
    faults = Faults()
    assert [record["question"] for record in entries(folder, faults)] == ["one", "three"]
    assert [(each.file, each.line) for each in faults.kept] == [(str(path), 2)]
    status, out, _ = run("log", "verify", "--journal", str(folder))
    assert status == 1 and f"{path}:2: " in out and "1 faults" in out
    assert fill(folder, "four") == path and questions(folder) == ["one", "three", "four"]


def test_missing_line_shows_as_a_gap(folder: Path) -> None:
    path = fill(folder, "one", "two", "three")
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[0] + lines[2])
    assert [(each.line, "missing" in each.what) for each in verify(folder)[1].kept] == [(2, True)]


@pytest.mark.parametrize("change", [
    lambda line: line.replace(b"\n", b"\r\n"),
    lambda line: json.dumps(json.loads(line)).encode() + b"\n",
    lambda line: b"\n  \n" + line,
])  # fmt: skip
def test_line_with_the_same_content_still_counts(folder: Path, change: Callable[[bytes], bytes]) -> None:
    path = fill(folder, "é one", "two")
    path.write_bytes(b"".join(change(line) for line in path.read_bytes().splitlines(keepends=True)))
    assert questions(folder) == ["é one", "two"] and verify(folder)[1].count == 0


def test_old_formats_are_upgraded_while_reading(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fill(folder, "old")
    monkeypatch.setattr(records, "FORMAT", 3)
    monkeypatch.setattr(records, "UPGRADES", {1: lambda r: {**r, "colour": "blue"}, 2: lambda r: {**r, "size": 5}})
    record = next(entries(folder))
    assert (record["format"], record["colour"], record["size"]) == (3, "blue", 5)
    fill(folder, "new")
    assert questions(folder) == ["old", "new"] and verify(folder)[1].count == 0
    monkeypatch.setattr(records, "UPGRADES", {})
    assert [f.what for f in verify(folder)[1].kept] == ["format 1 is not known"]


def test_unreadable_file_and_strange_name_are_told(folder: Path) -> None:
    fill(folder, "one")
    (folder / "2026-06-15.c1.m1 (copy).jsonl").write_bytes(b"")
    (folder / "2026-06-14.c1.m1.jsonl").mkdir()
    faults = verify(folder)[1]
    assert len(faults.kept) == 1 and "journal file's name" in faults.kept[0].what
    assert questions(folder) == ["one"]


def test_folders_of_two_studios_merge_by_copying(tmp_path: Path) -> None:
    for name, machine in (("one", "m1"), ("two", "m2")):
        Store(tmp_path / name, "c1", machine, now=lambda: NOON).append(entry(name))
    shutil.copytree(tmp_path / "two", tmp_path / "one", dirs_exist_ok=True)
    shutil.copytree(tmp_path / "two", tmp_path / "one" / "third")
    assert sorted(questions(tmp_path / "one")) == ["one", "two"] and verify(tmp_path / "one") == (3, Faults())
    upkeep.replace_text(tmp_path / "one", lambda text: text.replace("two", "2"), lambda raw: False)
    assert not any(b"two" in path.read_bytes() for path in (tmp_path / "one").rglob("*.jsonl"))


def test_memory_stays_flat(folder: Path) -> None:
    import tracemalloc

    folder.mkdir()
    with (folder / "2026-06-15.c1.m1.jsonl").open("wb") as file:
        for number in range(4000):
            file.write(records.encode(entry(f"question {number}"))[0])
    tracemalloc.start()
    found = report(entries(folder), Verdicts())
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found.entries == 4000 and peak < 3_000_000


# -- removing --------------------------------------------------------------------------------------------------------


def test_forget_removes_and_proves_it(run: Run, folder: Path) -> None:
    run("client", "add", "zz-9", "--age", "72")
    run("client", "set", "zz-9", "--sex", "f")
    history = state_home() / "history"
    history.write_text("\n# 2026\n+client zz-9\n\n# 2026\n+squats zz-91\n")
    open_store = journals.store(folder)
    first = open_store.append(entry("mine", client="zz-9"))
    open_store.append(entry("other", client="zz-8"))
    review(journals.store(folder, "mentor", records.REVIEW), first, "amend", "about zz-9")
    path = files(folder)[0]
    path.write_bytes(path.read_bytes() + b'{"answer":"x","client":"zz-9","coa')
    status, out, _ = run("log", "forget", "--client", "ZZ-9", "--journal", str(folder))
    assert status == 0 and "removed 1 entries" in out and "0 of" in out and "2 card files" in out
    assert questions(folder) == ["other"] and verify(folder)[1].count == 0
    assert "zz-91" in history.read_text()
    history.unlink()
    assert not any(b"zz-9" in p.read_bytes() for p in folder.parent.rglob("*") if p.is_file())
    open_store.append(entry("later"))
    assert questions(folder) == ["other", "later"] and verify(folder)[1].count == 0


def test_forget_of_the_only_client_removes_the_file_under_an_open_store(folder: Path) -> None:
    store = journals.store(folder)
    store.append(entry("mine", client="a12"))
    upkeep.forget(folder, "a12")
    assert not files(folder)
    store.append(entry("later"))
    assert questions(folder) == ["later"]


def test_forget_needs_a_client_and_tells_of_other_mentions(run: Run, folder: Path) -> None:
    assert run("log", "forget", "--journal", str(folder))[0] == 2
    fill(folder, "compare with a12 please")
    status, out, _ = run("log", "forget", "--client", "a12", "--journal", str(folder))
    assert status == 0 and "1 other questions hold the word a12" in out


def test_half_written_copies_of_a_crash_are_swept(folder: Path) -> None:
    path = fill(folder, "mine")
    left = path.with_name(path.name + ".tmp")
    left.write_bytes(path.read_bytes())
    upkeep.forget(folder, "nobody")
    assert not left.exists()


def test_redact_takes_words_out_everywhere(run: Run, folder: Path) -> None:
    path = fill(folder, "ask bellwether about lunges", "Bellwethers stay", "squats")
    path.write_bytes(path.read_bytes() + b'{"torn":"Bellwether')
    status, out, _ = run("log", "redact", "Bellwether", "--journal", str(folder))
    assert status == 0 and "0 of 1 files still hold" in out and "dropped 1" in out
    assert questions(folder) == ["ask [removed] about lunges", "Bellwethers stay", "squats"]
    assert verify(folder)[1].count == 0


def test_redact_applies_the_present_rules_to_old_entries(run: Run, folder: Path) -> None:
    fill(folder, "call 07700 900123 about client Margaret", "squats")
    run("log", "redact", "--journal", str(folder))
    assert questions(folder) == ["call [phone] about client [name]", "squats"]


def test_expire_keeps_the_days_asked_for(run: Run, folder: Path) -> None:
    store, today = journals.store(folder), datetime.datetime.now().astimezone()
    for days in (0, 29, 31, 400):
        store.append(entry(str(days), now=today - datetime.timedelta(days=days)))
    assert "would remove 2 records" in run("log", "expire", "--days", "30", "--dry-run", "--journal", str(folder))[1]
    assert len(questions(folder)) == 4
    assert "removed 2 records" in run("log", "expire", "--days", "30", "--journal", str(folder))[1]
    assert questions(folder) == ["29", "0"]
    assert run("log", "expire", "--days", "0", "--journal", str(folder))[0] == 2


def test_failed_rewrite_leaves_the_old_file(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = fill(folder, "mine", "other")
    before = path.read_bytes()

    def fail(handle: int) -> None:
        raise OSError(errno.ENOSPC, "full")

    monkeypatch.setattr(upkeep.os, "fsync", fail)
    with pytest.raises(JournalError, match="full"):
        upkeep.replace_text(folder, lambda text: "gone", lambda raw: False)
    assert path.read_bytes() == before and [p.name for p in folder.iterdir()] == [path.name]


# -- looking at it ---------------------------------------------------------------------------------------------------


def test_list_search_show_and_filters(run: Run, folder: Path) -> None:
    store = journals.store(folder)
    ident = store.append(entry("lunge hurts", client="a12", status="refer", urgency="soon", rules=["knee-locked"]))
    store.append(entry("squat depth"))
    here = ("--journal", str(folder))
    assert len(run("log", "list", *here)[1].splitlines()) == 2
    assert "lunge" in run("log", "list", "--client", "a12", *here)[1]
    assert "squat" in run("log", "list", "--status", "answered", *here)[1]
    assert "nothing found" in run("log", "list", "--since", "2026-06-16", *here)[1]
    assert "lunge" in run("log", "search", "Knee-Locked", *here)[1]
    assert "lunge hurts" in run("log", "show", ident[:6], *here)[1]
    assert run("log", "show", "ffff", *here)[0] == 2 and run("log", "list", "--since", "x", *here)[0] == 2


def test_export_is_safe_for_spreadsheets_and_readers(run: Run, folder: Path, tmp_path: Path) -> None:
    fill(folder, "=HYPERLINK(1) *bold* <b>", 'two, "quoted"')
    here = ("--journal", str(folder))
    assert [json.loads(line)["question"] for line in run("log", "export", *here)[1].splitlines()][1] == 'two, "quoted"'
    table = run("log", "export", "--format", "csv", *here)[1]
    assert "'=HYPERLINK" in table and '"two, ""quoted"""' in table
    assert r"\*bold\* \<b\>" in run("log", "export", "--format", "md", *here)[1]
    out = tmp_path / "out.csv"
    run("log", "export", "--format", "csv", "--out", str(out), *here)
    assert stat.S_IMODE(out.stat().st_mode) == 0o600 and out.read_text() == table
    assert run("log", "export", "--out", str(tmp_path / "no" / "x"), *here)[0] == 2


def test_nothing_harmful_reaches_the_terminal(run: Run, folder: Path) -> None:
    evil = "\x1b]0;owned\x07\x1b[2J‮evil\x00"
    store = journals.store(folder)
    ident = store.append(entry(evil, status="unsure", answer=evil, rules=[evil], client=""))
    review(journals.store(folder, "mentor", records.REVIEW), ident, "wrong", evil, evil, evil)
    here = ("--journal", str(folder))
    outputs = [
        run(*argv, *here)[1]
        for argv in (("log", "list"), ("log", "show", ident), ("log", "export", "--format", "md"), ("log", "export", "--format", "csv"),
                     ("review", "report"), ("review", "report", "--format", "md"), ("review", "gaps"))
    ]  # fmt: skip
    assert all(not set(text) & set("\x1b\x07\x00‮") for text in outputs)


def test_bad_lines_are_told_once_when_listing(run: Run, folder: Path) -> None:
    path = fill(folder, "one")
    path.write_bytes(path.read_bytes() + b"junk\n")
    status, out, err = run("log", "list", "--journal", str(folder))
    assert status == 0 and "one" in out and err.count("set aside") == 1


def test_batch_keeps_conversations_apart(run: Run, folder: Path) -> None:
    run(
        "ask",
        "--json",
        "--follow",
        "-",
        "--journal",
        str(folder),
        typed="hip hikes on step ups\nand harder?\n\nlunges hurt\n",
    )
    found = list(entries(folder))
    assert [each["turn"] for each in found] == [0, 1, 0]
    assert found[0]["conversation"] == found[1]["conversation"] != found[2]["conversation"]


def test_filter_without_wishes_takes_everything() -> None:
    assert list(Filter().of([entry()])) and not list(Filter(words=("nowhere",)).of([entry()]))


def test_empty_journal(run: Run, folder: Path) -> None:
    here = ("--journal", str(folder))
    assert run("log", "list", *here)[:2] == (0, "nothing found\n")
    assert run("log", "verify", *here)[0] == 0
    assert reading.files(folder) == []
