"""Passwords by Argon2id at a cost that leaves room for other work."""

from django.contrib.auth.hashers import Argon2PasswordHasher


class Argon2(Argon2PasswordHasher):
    """Two passes over 19 MiB, one lane: the second choice of the OWASP password storage sheet
    (from memory); Django's own default takes 100 MiB."""

    time_cost = 2
    memory_cost = 19456
    parallelism = 1
