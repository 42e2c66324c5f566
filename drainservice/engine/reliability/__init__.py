"""Failure rates of hidden failures and the proof-test intervals that follow from them."""
