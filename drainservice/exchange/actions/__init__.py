"""Bringing sheets in, and answering what they leave open."""

from drainservice.exchange.actions.answer import answer_question
from drainservice.exchange.actions.bring import bring_in, bring_in_read

__all__ = ["answer_question", "bring_in", "bring_in_read"]
