"""What a verdict says of its sum, in the engine's words."""

from drainservice.engine.result_texts import RESULT_TEXTS

# How the keys of the engine's texts begin, by what a row calls its sum.
STEMS = {
    "flow_against_duty": "pump",
    "shared_main": "main",
    "back_flow": "back",
    "other_pit": "other",
    "soakage": "soakage",
    "silt": "silt",
}


def verdict_key(what: str, found: str) -> str:
    """The key of the sentence that says what was found."""
    return f"{STEMS.get(what, what)}_{found}"


def verdict_clause(what: str, found: str) -> str:
    """That sentence as part of another one: up to its colon, without its full stop."""
    text = RESULT_TEXTS.get(verdict_key(what, found), "")
    words = text.split(":")[0].removesuffix(".")
    return words[:1].lower() + words[1:]
