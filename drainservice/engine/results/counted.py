"""What counting a result gives: numbers by name, a verdict word, and sentences."""

from dataclasses import dataclass

from drainservice.engine.explain import Plain, Sentence

Values = tuple[tuple[str, Plain], ...]


@dataclass(frozen=True, slots=True)
class Counted:
    """Main numbers (SI, unit at the end of the name), the verdict's code word, the sentences."""

    outputs: Values
    verdict: str
    said: tuple[Sentence, ...]


def sentence(key: str, **values: Plain) -> Sentence:
    """A sentence from named values."""
    return Sentence(key, tuple(values.items()))
