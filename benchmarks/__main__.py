"""``python -m benchmarks [NAME] [--json] [--write]``: run one benchmark, or list them."""

from __future__ import annotations

import argparse
import importlib
import json
import os
import pkgutil
import platform
import sys
import time
from pathlib import Path
from typing import Any

import benchmarks


def names() -> list[str]:
    """Modules of this folder that have a ``run``; read as text, so that listing loads nothing."""
    found = []
    for module in pkgutil.iter_modules(benchmarks.__path__):
        path = Path(benchmarks.__path__[0], f"{module.name}.py")
        if not module.name.startswith("_") and path.exists() and "\ndef run(" in path.read_text(encoding="utf-8"):
            found.append(module.name)
    return sorted(found)


def load(name: str) -> Any:
    """The benchmark called ``name``.

    Raises: LookupError when there is none.
    """
    if name not in names():
        known = ", ".join(names()) or "there are none yet"
        raise LookupError(f"there is no benchmark {name!r}; the names are: {known}")
    return importlib.import_module(f"benchmarks.{name}")


def measure(name: str) -> dict[str, Any]:
    """Run a benchmark and put the machine and the time it took beside its numbers."""
    module = load(name)
    began = time.perf_counter()
    found = module.run()
    return {
        "name": name,
        "says": (module.__doc__ or "").strip().partition("\n")[0],
        "machine": {"cores": os.cpu_count(), "python": platform.python_version(), "system": platform.machine()},
        "took_s": round(time.perf_counter() - began, 3),
        **found,
    }


def shown(result: dict[str, Any]) -> str:
    """The result for reading: rows one a line, then ratios."""
    lines = [f"{result['name']}: {result['says']} ({result['took_s']} s)"]
    for row in result.get("rows", []):
        parts = (f"{key} {value:.4g}" if isinstance(value, float) else f"{key} {value}" for key, value in row.items())
        lines.append("  " + "  ".join(parts))
    lines += [f"  {name}: {value:.3g} times" for name, value in result.get("ratios", {}).items()]
    return "\n".join(lines)


def main(arguments: list[str]) -> int:
    """Run what the command line asks for; 2 when it cannot be run."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=benchmarks.__doc__)
    parser.add_argument("name", nargs="?", help="which benchmark; none lists them")
    parser.add_argument("--json", action="store_true", help="for scripts")
    parser.add_argument("--write", action="store_true", help="keep the result and make the page's tables of it")
    given = parser.parse_args(arguments)
    if given.name is None:
        print(json.dumps(names()) if given.json else "\n".join(names()))
        return 0
    try:
        result = measure(given.name)
    except LookupError as error:
        print(error.args[0], file=sys.stderr)
        return 2
    if given.write:
        module = load(given.name)
        if not hasattr(module, "write"):
            print(f"benchmark {given.name!r} makes no page; leave out --write.", file=sys.stderr)
            return 2
        module.write(result)
    print(json.dumps(result, indent=2, ensure_ascii=False) if given.json else shown(result))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
