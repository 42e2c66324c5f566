"""A form that adds something carries a word made when it was shown: sent twice, it adds once."""

from uuid import UUID, uuid4

from django import forms

from drainservice.accounts import queries
from drainservice.accounts.asker import Asker


class OnceForm(forms.Form):
    """A form with that word."""

    once = forms.CharField(widget=forms.HiddenInput, max_length=40)

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.fields["once"].initial = uuid4().hex

    def clean_once(self) -> str:
        """A UUID, nothing else."""
        try:
            return UUID(self.cleaned_data["once"]).hex
        except ValueError:
            raise forms.ValidationError("Load this page again and send it once more.") from None


def acting_once(asker: Asker, once: str) -> Asker:
    """The asker whose changes carry the word."""
    return asker.acting(group=once)


def was_done(asker: Asker, once: str) -> bool:
    """Whether this asker has sent this very form before."""
    return queries.was_done_before(asker, once)
