"""`rungbook knowledge`: check, list, show and export what rungbook knows."""

from __future__ import annotations

import argparse
import json

from assistant.commands.common import knowledge_roots
from assistant.conversation import Assistant
from assistant.mentoring.proving import prove
from assistant.rulebase.loading import load_with_faults


def arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.epilog = "example: rungbook knowledge check"
    parser.add_argument("action", choices=["check"], help="what to do")
    parser.add_argument("--json", action="store_true", help="machine-readable")
    parser.add_argument("--only", metavar="TEXT", help="only faults of files whose name contains TEXT")


def run(args: argparse.Namespace) -> int:
    """Exit code 0 when clean, 1 with faults."""
    rulebase, faults = load_with_faults(knowledge_roots(args))
    if not faults or args.only:
        faults += list(prove(Assistant(rulebase)))
    if args.only:
        faults = [fault for fault in faults if args.only in fault.file]
    known = rulebase.knowledge
    if args.json:
        print(
            json.dumps({"faults": [vars(f) for f in faults], "entries": len(known.entries), "flags": len(known.flags)})
        )
    else:
        for fault in faults:
            print(fault)
        print(
            f"{len(known.entries)} entries, {len(known.flags)} flags, {len(known.sources)} sources: {len(faults)} faults"
        )
    return 1 if faults else 0
