"""The page for researchers runs, names every public name, and every public name says its units."""

from __future__ import annotations

import ast
import importlib
import inspect
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "api.md"
ROOMS = ("colony", "evidence", "plan")
SCIENCE = ("colony", "beetle", "comb", "forage", "patty", "evidence", "plan")
NAMED_AS_MODULE = {"colony": ("establish",), "evidence": ("assimilate",), "plan": ("advise", "options")}
"""Functions that bear their module's name and are imported from there."""
UNIT = re.compile(r"\[[^\]]+\]|0-1|0 dry - 1|per hundred bees|negative days|shape \(")


def test_every_block_of_the_page_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """The code runs from top to bottom in one namespace, asserts included, and prints something."""
    blocks = re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    space: dict[str, object] = {}
    for k, block in enumerate(blocks):
        exec(compile(block, f"api.md block {k + 1}", "exec"), space)

    assert len(blocks) == 7
    printed = capsys.readouterr().out
    assert "runway" in printed
    assert "chosen:" in printed


@pytest.mark.parametrize("room", ROOMS)
def test_public_names_exist_and_are_on_the_page(room: str) -> None:
    """__all__ is what the room gives, and the table names each of them and the functions named as their module."""
    module = importlib.import_module(f"tideover.{room}")
    table = PAGE.read_text(encoding="utf-8").split("## All public names", 1)[1]

    assert dir(module) == sorted(module.__all__)
    for name in module.__all__:
        assert getattr(module, name) is not None
        assert f"`{name}`" in table, name
    for name in NAMED_AS_MODULE[room]:
        assert callable(getattr(importlib.import_module(f"tideover.{room}.{name}"), name))
        assert f"`{name}`" in table, name
    with pytest.raises(AttributeError, match="its public names are"):
        module.nothing_of_the_sort  # noqa: B018


def _public(room: str) -> list[tuple[str, object]]:
    module = importlib.import_module(f"tideover.{room}")
    own = [(n, getattr(module, n)) for n in module.__all__]
    return own + [
        (n, getattr(importlib.import_module(f"tideover.{room}.{n}"), n)) for n in NAMED_AS_MODULE[room]
    ]  # fmt: skip


@pytest.mark.parametrize("room", ROOMS)
def test_every_parameter_of_a_public_function_is_told(room: str) -> None:
    """The docstring of each public function names each parameter, and says the unit or shape of floats and arrays."""
    silent = []
    for name, thing in _public(room):
        if not inspect.isfunction(thing):
            continue
        doc = " ".join((inspect.getdoc(thing) or "").split())
        for p, given in inspect.signature(thing).parameters.items():
            here = re.findall(rf"\b{p}\b.*?(?=:param|:returns|:raises|$)", doc)
            if not here:
                silent.append(f"{room}.{name}: {p} is not told")
            elif re.search(r"Floats|float", str(given.annotation)) and not any(map(UNIT.search, here)):
                silent.append(f"{room}.{name}: {p} has no unit or shape")
    assert silent == []


@pytest.mark.parametrize("room", SCIENCE)
def test_everything_public_in_the_science_rooms_has_a_docstring(room: str) -> None:
    """Every function and class without an underscore says what it is; inlined parts of compiled kernels apart."""
    silent = [
        f"{path.relative_to(ROOT)}: {node.name}"
        for path in sorted((ROOT / "src" / "tideover" / room).rglob("*.py"))
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)) and not node.name.startswith("_")
        and not ast.get_docstring(node) and not any("inline" in ast.dump(d) for d in node.decorator_list)
    ]  # fmt: skip
    assert silent == []
