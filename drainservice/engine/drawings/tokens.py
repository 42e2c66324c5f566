"""The colours of every drawing: classes a page can recolour, with light values to fall back on."""

LIGHT = {
    "paper": "#fbfaf6",
    "stone": "#edeae1",
    "ink": "#17232b",
    "soft": "#47545b",
    "deep": "#0b4a5e",
    "water": "#3a86a0",
    "pale": "#cfe4ea",
    "clay": "#8a2f17",
    "rule": "#857f70",
    "soil": "#e2d6bf",
}
DARK = {
    "paper": "#10191e",
    "stone": "#1a262c",
    "ink": "#e9eef0",
    "soft": "#b3c0c6",
    "deep": "#86cbe0",
    "water": "#4f9cb8",
    "pale": "#1b3a46",
    "clay": "#f2a98f",
    "rule": "#7b8a92",
    "soil": "#3a3528",
}
# On paper every ground is white and every line black; bodies of water are hatched, and the few
# px of water in a pit mark are solid, for hatching that small is not seen.
PRINT = {name: "#fff" if name in {"paper", "stone", "pale", "soil"} else "#000" for name in LIGHT}


def paint(fill: str = "none", stroke: str = "none", width: float = 1.0) -> str:
    """Class and presentation attributes that give a shape its colours.

    A style sheet beats presentation attributes, so a page that sets the classes recolours the
    drawing, and a page (or a PDF) without it still shows the light colours.
    """
    classes = [f"f-{fill}"] * (fill != "none") + [f"s-{stroke}"] * (stroke != "none")
    words = [f'class="{" ".join(classes)}"'] if classes else []
    words.append(f'fill="{LIGHT.get(fill, "none")}"')
    if stroke != "none":
        words.append(f'stroke="{LIGHT[stroke]}"')
        if width != 1.0:
            words.append(f'stroke-width="{width:g}"')
    return " ".join(words)


def write_style() -> str:
    """The rules a page's style sheet needs for the drawings; its tokens are `--ink`, `--paper` ...

    Widths: in a `<div class="drawing-pair">` the wide drawing shows from 800 px up, so that its
    15 px letters never shrink below 13 px (15 x 800 / 900 = 13.3), and on paper; below that the
    one laid out for a phone shows.
    """
    rules = [
        ".drawing{display:block;max-width:100%;height:auto;font-variant-numeric:tabular-nums}",
        ".drawing text{font-family:inherit}",
        ".only-print{display:none}",
        ".drawing a:hover .name,.drawing a:focus-visible .name{text-decoration:underline}",
        ".drawing a:focus-visible{outline:none}",
        ".drawing a:focus-visible .hit{stroke:var(--deep);stroke-width:2}",
        ".drawing-pair>.wide{display:none}",
        "@media (min-width:800px),print{.drawing-pair>.wide{display:block}"
        ".drawing-pair>.phone{display:none}}",
    ]
    rules += [f".f-{name}{{fill:var(--{name})}}" for name in LIGHT]
    rules += [f".s-{name}{{stroke:var(--{name})}}" for name in LIGHT]
    printed = "".join(f"--{name}:{value};" for name, value in PRINT.items())
    rules.append(f"@media print{{.drawing,.pit-mark{{{printed}}}.only-print{{display:inline}}}}")
    return "\n".join(rules) + "\n"
