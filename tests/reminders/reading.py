"""How hard a text is to read: the Flesch-Kincaid grade.

Kincaid, Fishburne, Rogers, Chissom, Research Branch Report 8-75, 1975 (formula from memory):
grade = 0.39 words/sentences + 11.8 syllables/words - 15.59.
"""

import re


def syllables_of(word: str) -> int:
    """Groups of vowels, a silent e at the end left out; at least one."""
    bare = re.sub(r"[^a-z]", "", word.lower())
    groups = len(re.findall(r"[aeiouy]+", bare))
    is_silent = bare.endswith("e") and not bare.endswith(("le", "ee", "ye")) and groups > 1
    is_ed = re.search(r"[^td]ed$", bare) is not None and groups > 1
    return max(1, groups - is_silent - is_ed)


def grade_of(text: str) -> float:
    """The school grade whose pupils read it with ease."""
    sentences = [part for part in re.split(r"[.!?:]+(?:\s|$)|\n", text) if part.strip()]
    words = re.findall(r"[A-Za-z']+", text)
    syllables = sum(map(syllables_of, words))
    return 0.39 * len(words) / len(sentences) + 11.8 * syllables / len(words) - 15.59
