"""One shape of our own per action, so that a call is told by shape and word, never by colour alone."""

from __future__ import annotations

from typing import Final

from markupsafe import Markup

_SHAPES: Final[dict[str, str]] = {
    # a slab lying on top bars
    "lay on": '<path class="f" d="M5 12h22v8H5z"/><path d="M3 25h26M7 25v4M13 25v4M19 25v4M25 25v4'
    'M16 2v6M12.5 5.5 16 9l3.5-3.5"/>',
    # a leaf with its rib: nothing to do
    "leave": '<path class="f" d="M6 26C4 12 13 5 27 5c1 14-6 22-19 20z"/><path class="k" d="M4 29 20 12"/>',
    # a lens
    "look again": '<circle cx="13.5" cy="13.5" r="9"/><path class="w" d="m20.5 20.5 8 8"/>',
    # an empty slab lifted off the bars
    "take off": '<path d="M5 12h22v8H5z" stroke-dasharray="4 2.5"/><path d="M3 25h26M7 25v4M13 25v4M19 25v4M25 25v4'
    'M16 9V2M12.5 5.5 16 2l3.5 3.5"/>',
    # two cubes
    "give sugar": '<path class="f" d="M4 14h12v12H4z"/><path d="M16 18h12v12H16zM12 3h9v9"/><path d="m12 12 9-9"/>',
    # a drop over a rim
    "give water": '<path class="f" d="M16 3c5 7 7.5 10 7.5 14a7.5 7.5 0 0 1-15 0'
    'C8.5 13 11 10 16 3z"/><path d="M4 29h24"/>',
    # two boxes brought into one stack
    "unite": '<path class="f" d="M7 18h18v10H7z"/><path d="M7 5h18v9H7zM12 14v4M20 14v4"/>',
    # a box on its way
    "move the yard": '<path class="f" d="M3 10h12v14H3z"/><path d="M18 17h11M24.5 12.5 29 17l-4.5 4.5"/>',
    # a knot to be undone first
    "see to the cause first": '<path class="w" d="M10 10c0-8 13-8 13 0 0 5-6.5 5-6.5 10"/>'
    '<circle class="k2" cx="16.5" cy="27" r="2.2"/>',
}

_SIGNS: Final[dict[str, str]] = {
    "blocks": '<path class="w" d="M4 16h24"/><path d="M16 4v24" stroke-dasharray="3 3"/>',
    "orders": '<path d="M4 9h12M4 16h18M4 23h24"/><path class="w" d="M4 9h4"/>',
    "warns": '<path class="w" d="M16 4v15"/><circle class="k2" cx="16" cy="27" r="2.2"/>',
    "toss-up": '<path d="M16 5v24M6 12h20M9 29h14"/>'
    '<path class="f" d="M2.5 19a4 4 0 0 0 8 0L6.5 12zM21.5 19a4 4 0 0 0 8 0l-4-7z"/>',
    "flag": '<path d="M7 29V4"/><path class="f" d="m7 5 18 5-18 6z"/>',
    "patty": '<path class="f" d="M5 12h22v8H5z"/><path d="M3 25h26"/>',
    "land": '<path d="M2 27h28M6 27c2-9 7-9 9 0M15 27c2-14 9-14 12 0"/>',
}


def icon(name: str, label: str = "", size: int = 32) -> Markup:
    """The inline SVG of an action or sign; without ``label`` it is decoration and hidden from readers."""
    body = _SHAPES.get(name) or _SIGNS.get(name)
    if body is None:
        raise KeyError(f"There is no shape called {name!r}; wanted one of {', '.join(sorted(_SHAPES | _SIGNS))}.")
    hidden = Markup('role="img" aria-label="{}"').format(label) if label else Markup('aria-hidden="true"')
    return Markup(
        '<svg class="shape" viewBox="0 0 32 32" width="{size}" height="{size}" focusable="false" {hidden}>{body}</svg>'
    ).format(size=size, hidden=hidden, body=Markup(body))
