"""The style sheet of the drawings is the one the drawings themselves tell."""

from drainservice.engine.drawings.tokens import write_style


def test_the_style_sheet_served_is_what_the_drawings_need(root):
    served = (root / "drainservice" / "static" / "drawings.css").read_text()

    assert served.strip() == write_style().strip()
