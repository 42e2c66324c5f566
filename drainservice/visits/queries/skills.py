"""What a visit may need that not everybody can do."""

from drainservice.visits.models import Skill, Van


def skill_words() -> list[str]:
    """Every skill that somebody holds and every thing that a van carries, in two statements."""
    held = Skill.objects.standing().values_list("word", flat=True)
    carried = Van.objects.standing().values_list("carries", flat=True)
    return sorted({*held, *(word for words in carried for word in words)})
