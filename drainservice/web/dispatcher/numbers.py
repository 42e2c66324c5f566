"""Numbers of rows as addresses and hidden fields carry them."""

MOST_DIGITS = 18


def read_number(text: str) -> int:
    """The number; 0, which no row has, where the text is none."""
    is_number = text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS
    return int(text) if is_number else 0
