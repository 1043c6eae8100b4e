"""Text of a task file, TOML or JSON, to plain values."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from typing import Any

from tideover.patty.kitchen.task import TaskError


def parse(text: str, name: str = "") -> Mapping[str, Any]:
    """The values in a task file; JSON when it begins with a brace, else TOML.

    Raises: TaskError with the place of the fault.
    """
    stripped = text.lstrip("\ufeff \t\r\n")
    if not stripped:
        raise TaskError([f"{name or 'the file'} is empty; see the example in the manual."])
    try:
        raw = json.loads(stripped) if stripped.startswith("{") else tomllib.loads(text.lstrip("\ufeff"))
    except json.JSONDecodeError as error:
        raise TaskError([f"{name or 'the file'}, line {error.lineno}: not JSON ({error.msg})."]) from error
    except tomllib.TOMLDecodeError as error:
        raise TaskError([f"{name or 'the file'}: not TOML ({error})."]) from error
    if not isinstance(raw, dict):
        raise TaskError([f"{name or 'the file'} holds no table of names and values."])
    return raw
