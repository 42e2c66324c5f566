"""Turning bytes from strangers into an XML tree, or refusing them by name."""

from xml.etree.ElementTree import Element, ParseError, TreeBuilder

from defusedxml.common import DefusedXmlException  # type: ignore[import-untyped]
from defusedxml.ElementTree import XMLParser  # type: ignore[import-untyped]

LARGEST_BYTES = 1_000_000
DEEPEST = 30


class WarningFileTooLarge(ValueError):
    """More bytes than any warning or index of warnings has."""


class WarningFileUnsafe(ValueError):
    """XML that declares a document type or entities, or nests too deep: made to do harm."""


class WarningFileUnreadable(ValueError):
    """Not XML, or cut off."""


class _ShallowBuilder(TreeBuilder):
    """Builds the tree, and refuses to go deeper than any warning does."""

    depth = 0

    def start(self, tag: str, attrs: dict[str, str], /) -> Element:
        self.depth += 1
        if self.depth > DEEPEST:
            raise WarningFileUnsafe(
                f"The file nests its elements more than {DEEPEST} deep. It was refused."
            )
        return super().start(tag, attrs)

    def end(self, tag: str, /) -> Element:
        self.depth -= 1
        return super().end(tag)


def parse_safely(content: str | bytes) -> Element:
    """The root element of an XML text of at most 1 MB, 30 deep, without a document type.

    Raises WarningFileTooLarge, WarningFileUnsafe, WarningFileUnreadable.
    """
    octets = content.encode() if isinstance(content, str) else content
    if len(octets) > LARGEST_BYTES:
        raise WarningFileTooLarge(
            f"The file has {len(octets):,} bytes; more than {LARGEST_BYTES:,} are not read."
            " Fetch the index of your own state or county."
        )
    # A text's own encoding is already spent; the parser is told so by getting the text itself.
    parser = XMLParser(target=_ShallowBuilder(), forbid_dtd=True)
    try:
        parser.feed(content.lstrip("\ufeff") if isinstance(content, str) else octets)
        root: Element = parser.close()
    except DefusedXmlException as refusal:
        raise WarningFileUnsafe(
            "The file declares a document type or entities, which no warning needs."
            " It was refused; check where it came from."
        ) from refusal
    except WarningFileUnsafe:
        raise
    except (ParseError, LookupError, ValueError) as flaw:
        raise WarningFileUnreadable(
            f"The file is not whole XML ({flaw}). Fetch it again."
        ) from flaw
    return root


def local_name(part: Element) -> str:
    """The name of an element without its namespace."""
    return part.tag.rpartition("}")[2] if isinstance(part.tag, str) else ""


def children_of(part: Element, name: str) -> list[Element]:
    """Its direct children of a name, in any namespace."""
    return [child for child in part if local_name(child) == name]


def texts_of(part: Element, name: str) -> list[str]:
    """The texts of such children, trimmed, empty ones left out."""
    found = ((child.text or "").strip() for child in children_of(part, name))
    return [text for text in found if text]


def text_of(part: Element, name: str) -> str:
    """The first such text, or nothing."""
    return next(iter(texts_of(part, name)), "")
