"""Where the knowledge lies and how it is loaded."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from assistant.errors import Fault, InputError
from assistant.rulebase import cache, compiled
from assistant.rulebase.cache import digest, yaml_files
from assistant.rulebase.index import Index, asked_words, build_index
from assistant.rulebase.model import Knowledge
from assistant.rulebase.search import Finder, build_finder
from assistant.shaping import TYPE_CHECKING, dataclass

if TYPE_CHECKING:
    from assistant.rulebase.reading import Table


@dataclass
class Rulebase:
    """Knowledge with its patterns (`lexicon`) and index, and the folder it came from; `shipped` is the rulebase without
    house rules, where there are any: red flags are looked for with it too, so that nothing a studio writes can silence one.
    """

    knowledge: Knowledge
    lexicon: Finder
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
    finder = build_finder(builder.lexicon, asked_words(builder.knowledge))
    return Rulebase(builder.knowledge, finder, index, roots[0], _shipped(roots)), sorted(set(builder.faults))


def _shipped(roots: Sequence[Path]) -> Rulebase | None:
    return load(roots[:1])[0] if len(roots) > 1 else None


def load(roots: Sequence[Path]) -> tuple[Rulebase, list[Fault]]:
    """The compiled rulebase when there is one for this content, else a fresh one, compiled when it has no faults."""
    for root in roots:
        if not root.is_dir():
            raise InputError("no such knowledge folder", str(root), "name a folder that holds .yaml files")
    content = digest(roots)
    read = cache.load(content, lambda: _again(roots, content))
    if read is not None:
        try:
            return Rulebase(*compiled.thaw(read, content), roots[0], _shipped(roots)), []
        except (ValueError, KeyError):
            pass  # no compiled rulebase of this program: built again
    rulebase, faults = load_with_faults(roots)
    if faults:
        return rulebase, faults
    block = compiled.freeze(rulebase.knowledge, rulebase.lexicon, rulebase.index)
    cache.save(rulebase.knowledge.digest, block)
    found = compiled.thaw(lambda start, end: block[start:end], rulebase.knowledge.digest)
    return Rulebase(*found, roots[0], rulebase.shipped), []


def _again(roots: Sequence[Path], content: str) -> bytes:
    """The block of a content whose kept copy turned out to be damaged; raises InputError when the content has changed."""
    rulebase, faults = load_with_faults(roots)
    if faults or rulebase.knowledge.digest != content:
        raise InputError("the knowledge changed while it was being read", str(roots[0]), "ask again")
    block = compiled.freeze(rulebase.knowledge, rulebase.lexicon, rulebase.index)
    cache.save(content, block)
    return block
