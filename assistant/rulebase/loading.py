"""Where the knowledge lies and how it is loaded."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.errors import Fault, InputError
from assistant.rulebase import compiled
from assistant.rulebase.index import Index, build_index
from assistant.rulebase.model import Knowledge
from assistant.rulebase.patterns import Lexicon

if TYPE_CHECKING:
    from assistant.rulebase.reading import Table


@dataclass
class Rulebase:
    """Knowledge with its lexicon and index, and the folder it came from; `shipped` is the rulebase without house rules,
    where there are any: red flags are looked for with it too, so that nothing a studio writes can silence one."""

    knowledge: Knowledge
    lexicon: Lexicon
    index: Index
    root: Path
    shipped: Rulebase | None = None


def shipped_root() -> Path:
    """The knowledge folder: inside the installed package, else beside it in a checkout; raises InputError."""
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_knowledge", package.parent / "knowledge"):
        if (folder / "sources.yaml").is_file():
            return folder
    raise InputError("the knowledge folder is missing", str(package), "install rungbook again")


def digest(roots: Sequence[Path]) -> str:
    """Content hash over names and bytes of all knowledge files."""
    total = hashlib.sha256()
    for root in roots:
        for path in yaml_files(root):
            total.update(path.relative_to(root).as_posix().encode())
            total.update(b"\0")
            try:
                total.update(path.read_bytes())
            except OSError:
                total.update(b"unreadable")
            total.update(b"\0")
    return "sha256:" + total.hexdigest()[:32]


def yaml_files(root: Path) -> Iterator[Path]:
    """Every .yaml file below root in a stable order; links are not followed out of the folder."""
    for folder, names, files in os.walk(root, followlinks=False):
        names.sort()
        for name in sorted(files):
            if name.endswith((".yaml", ".yml")) and not name.startswith("."):
                yield Path(folder) / name


def read_all(roots: Sequence[Path]) -> tuple[dict[str, Table], set[str], list[Fault]]:
    """Tables of all folders, the names of the house files (all but the first folder's), and faults."""
    from assistant.rulebase.reading import Unreadable, read_file

    tables: dict[str, Table] = {}
    house: set[str] = set()
    faults: list[Fault] = []
    for index, root in enumerate(roots):
        if not root.is_dir():
            raise InputError("no such knowledge folder", str(root), "name a folder that holds .yaml files")
        for path in yaml_files(root):
            # House files bear their whole path: none can take the name, and so the place, of a shipped one.
            name = path.relative_to(root).as_posix() if index == 0 else path.absolute().as_posix()
            if index:
                house.add(name)
            try:
                tables[name] = read_file(path)
            except Unreadable as bad:
                faults.append(Fault(name, bad.line, bad.what, bad.fix))
    return tables, house, faults


def load_with_faults(roots: Sequence[Path]) -> tuple[Rulebase, list[Fault]]:
    """Load everything that can be loaded, with all faults found."""
    from assistant.rulebase.building import Builder

    tables, house, faults = read_all(roots)
    builder = Builder()
    builder.faults = faults
    builder.build(tables, house)
    builder.knowledge.digest = digest(roots)
    index = build_index(builder.knowledge, builder.lexicon, roots[0])
    shipped = load(roots[:1])[0] if len(roots) > 1 else None
    return Rulebase(builder.knowledge, builder.lexicon, index, roots[0], shipped), sorted(set(builder.faults))


def load(roots: Sequence[Path]) -> tuple[Rulebase, list[Fault]]:
    """The compiled rulebase when there is one for this content, else a fresh one, compiled when it has no faults."""
    for root in roots:
        if not root.is_dir():
            raise InputError("no such knowledge folder", str(root), "name a folder that holds .yaml files")
    found = compiled.load(digest(roots))
    if found is not None:
        return Rulebase(*found, roots[0], load(roots[:1])[0] if len(roots) > 1 else None), []
    rulebase, faults = load_with_faults(roots)
    if not faults:
        compiled.save(rulebase.knowledge, rulebase.lexicon, rulebase.index)
    return rulebase, faults
