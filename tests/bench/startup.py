"""A whole run with one question, as a multiple of only importing the packages that a tool of this kind rests on."""

from __future__ import annotations

from tests.bench.measure import processes, questions, row

QUESTION = "hip hikes on an 8 inch step, how do I make step-ups easier?"
IMPORTS = {
    "imports for plain text": "import yaml, rapidfuzz.process, rich.console",
    "imports for JSON": "import yaml, rapidfuzz.process",
}
TARGETS = {"--plain": ("imports for plain text", 1.5), "--json": ("imports for JSON", 1.3)}


def main(path: str = "", runs: int = 15) -> None:
    """Print the medians and the ratios."""
    asked = (questions(path) or [QUESTION])[0] if path else QUESTION
    commands = {name: ["-c", code] for name, code in IMPORTS.items()}
    for option in TARGETS:
        for name, more in ((option, []), (f"{option} --no-log", ["--no-log"])):
            commands[name] = ["-m", "assistant", "ask", option, *more, asked]
    times = processes({"nothing": ["-c", ""], **commands}, runs)
    row("one run", "wall ms", "processor ms", "of the imports", "goal")
    row("---", "---:", "---:", "---:", "---:")
    for name, (wall, used) in times.items():
        target = TARGETS.get(name.partition(" ")[0])
        ratio = goal = ""
        if target:
            base = times[target[0]]
            ratio, goal = f"{wall / base[0]:.2f} (processor {used / base[1]:.2f})", f"{target[1]}"
        row(name, f"{wall:.0f}", f"{used:.0f}", ratio, goal)


if __name__ == "__main__":
    main()
