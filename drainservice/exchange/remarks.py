# ruff: noqa: E501
"""Facts that stand only in remarks: what is said of now, not of the past, of wishes or of others."""

import re
from dataclasses import dataclass
from datetime import date

from drainservice.exchange.cells import CellDoubtful, CellRefused, one_line, plain
from drainservice.exchange.dates import read_date
from drainservice.exchange.quantities import read_quantity
from drainservice.exchange.remarks_rules import DATED, MEASURED, RULES, WATCHWORDS, Rule

_MENDED = re.compile(
    r"\b(?:fixed|corrected|repaired|replaced|swapped|changed|re-?set|re-?laid|rebuilt|redone|re-?done"
    r"|mended|upgraded|removed|added|turned (?:it )?up|now (?:upright|ok|fine|good|has|on|in|solid)"
    r"|since (?:then )?(?:fixed|replaced)|installed (?:one|a|new|it|later)|put (?:one )?in|resolved|stood up"
    r"|sorted|rectified|we (?:put|set|moved)|moved (?:it )?(?:on)?to)\b"
)
_MENDED_FIRST = re.compile(
    r"^\W*(?:this |it |that |all )?(?:was |been |has been |is )?(?:now )?(?:fixed|corrected|repaired|mended|replaced|resolved|redone|sorted|stood up)\b"
)
_PAST = re.compile(
    r"\b(?:was|were|used to|had|previously|formerly|earlier|originally|before|until|at first|old)\b"
)
_DOUBT = re.compile(
    r"\?|\b(?:need(?:s|ed)?|should|must|will|would|plan(?:s|ned)? to|todo|to do|next (?:visit|time|year)|recommend\w*"
    r"|quot(?:e|ed|ing)|wants?|wanted|asked (?:about|for)|asks|maybe|might|possibly|probably|perhaps|think(?:s)?|suspect\w*"
    r"|if|whether|verify|confirm|unsure|not sure|could|may be|may have|may need|order(?:ed)?|looks like|seems?|check (?:that|for)|consider"
    r"|supposed to|says|claims?|thought|unclear|don'?t know|unknown|going to|propos\w+|offer\w*|declined|refused)\b"
)
_NOT = re.compile(
    r"\b(?:not|isn'?t|aren'?t|wasn'?t|never|no longer|doesn'?t|didn'?t|nor|cannot|can'?t|won'?t)\b"
)
_OTHERS = re.compile(
    r"\b(?:neighbou?r'?s?'?|next door'?s?|other house'?s?|their)\b(?!\s*(?:main|line|drain|storm))"
)

_CLAUSE_SIGNS = re.compile(r",\s|\s-+\s|\bbut\b|\bhowever\b|\s/\s|:\s")
_PARTS = re.compile(
    r"\b(?:pump|valve|cv|lid|cover|battery|alarm|tee|wye|fabric|weep|float|line|pipe|emitter|gate|discharge|roof|gutter|stone)s?\b"
)
_SUBJECTS = {
    "valve": r"valves?|cvs?", "pump": r"pumps?", "weep_hole": r"weeps?", "pit": r"fabrics?|stones?", "site": r"gates?",
    "line": r"lines?|pipes?|tees?|wyes?|emitters?|discharges?", "access": r"lids?|covers?", "backup": r"batter.*", "alarm": r"alarms?",
    "household": r"-", "system": r"-",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Said:
    """A fact found in remarks, and the words it came from."""

    fact: str
    value: object
    words: str


@dataclass(frozen=True, slots=True)
class Unsure:
    """Words that may change what the row means; a person must say."""

    fact: str
    words: str
    why: str


def read_remarks(text: str, *, today: date) -> tuple[list[Said], list[Unsure]]:
    """The facts said of the present, and the words that need a person."""
    said: dict[str, Said] = {}
    unsure: list[Unsure] = []
    clashing: set[str] = set()
    sentences = [s for s in re.split(r"[.;\n](?=\s|$)|\n|\s\|\s", plain_lines(text)) if s.strip()]
    for index, sentence in enumerate(sentences):
        after = sentences[index + 1] if index + 1 < len(sentences) else ""
        for rule in RULES:
            found = rule.pattern.search(sentence)
            if not found:
                continue
            mended = _is_mended(rule, sentence, found) or bool(_MENDED_FIRST.search(after))
            verdict = _judge(rule, sentence, found, mended=mended)
            words = one_line(sentence)
            if verdict == "past":
                unsure.append(Unsure(rule.fact, words, "it is not clear whether this is still so"))
            elif verdict == "present":
                if rule.fact in said and said[rule.fact].value != rule.value:
                    clashing.add(rule.fact)
                said.setdefault(rule.fact, Said(rule.fact, rule.value, words))
        for each in _read_numbers(sentence, today):
            said.setdefault(each.fact, each)
        unsure.extend(_find_watchwords(sentence))
    for fact in clashing:
        unsure.append(Unsure(fact, said.pop(fact).words, "the remarks say two different things"))
    return list(said.values()), unsure


def plain_lines(text: str) -> str:
    return "\n".join(plain(line) for line in text.split("\n"))


def _judge(rule: Rule, sentence: str, found: re.Match[str], *, mended: bool) -> str:
    """present, past or not: what the sentence makes of the words found in it."""
    clause = _clause(sentence, found)
    before = sentence[max(0, found.start() - 40) : found.start()]
    if _DOUBT.search(clause) or (rule.ours_only and _OTHERS.search(clause)):
        return "not"
    if not rule.negative and _NOT.search(clause):
        return "not"
    if not rule.negative and re.search(
        r"\b(?:no|without|w/o|missing|lacks|none)\W+(?:\w+\W+){0,2}$", before
    ):
        return "not"
    if mended and rule.can_change:
        return "not"
    if rule.can_change and _PAST.search(clause):
        return "past"
    return "present"


def _is_mended(rule: Rule, sentence: str, found: re.Match[str]) -> bool:
    """Words of mending in the same clause, or in another that names no other part."""
    ours = _SUBJECTS[rule.fact.split(".")[0]]
    if _MENDED.search(_clause(sentence, found)):
        return True
    for clause in _CLAUSE_SIGNS.split(sentence):
        named = _PARTS.findall(clause)
        if _MENDED.search(clause) and (
            not named or any(re.fullmatch(ours, part) for part in named)
        ):
            return True
    return False


def _clause(sentence: str, found: re.Match[str]) -> str:
    """The part between commas, dashes or "but" in which the words stand."""
    start, end = 0, len(sentence)
    for sign in _CLAUSE_SIGNS.finditer(sentence):
        if sign.end() <= found.start():
            start = sign.end()
        elif sign.start() >= found.end():
            end = sign.start()
            break
    return sentence[start:end]


def _read_numbers(sentence: str, today: date) -> list[Said]:
    said: list[Said] = []
    if _DOUBT.search(sentence) or _NOT.search(sentence):
        return said
    for fact, dimension, pattern in MEASURED:
        found = pattern.search(sentence)
        if not found or _PAST.search(sentence):
            continue
        try:
            said.append(Said(fact, read_quantity(found[1], dimension), one_line(found.group())))
        except (CellRefused, CellDoubtful):
            continue
    for fact, pattern in DATED:
        found = pattern.search(sentence)
        if not found:
            continue
        try:
            said.append(Said(fact, read_date(found[1], today=today), one_line(found.group())))
        except (CellRefused, CellDoubtful):
            continue
    return said


def _find_watchwords(sentence: str) -> list[Unsure]:
    return [
        Unsure(fact, one_line(sentence), why)
        for fact, why, pattern in WATCHWORDS
        if pattern.search(sentence)
    ]
