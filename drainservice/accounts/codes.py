"""Lid codes: six signs, the last a check, and codes at rest."""

import base64
import secrets

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from django.conf import settings

# 31 signs: no 0 O 1 I L, which are mistaken for one another.
SIGNS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"


def new_lid_code() -> str:
    """A fresh code of five random signs and their check."""
    body = "".join(secrets.choice(SIGNS) for _ in range(5))
    return body + check_sign(body)


def check_sign(body: str) -> str:
    """The sixth sign: places weighted 2 to 6, modulo 31, so that one wrong sign or a swap shows."""
    total = sum((place + 2) * SIGNS.index(sign) for place, sign in enumerate(body))
    return SIGNS[-total % 31]


def read_lid_code(text: str) -> str | None:
    """The six signs of a typed code, or None if it cannot be one."""
    code = "".join(c for c in text.upper() if c not in " -.")
    if len(code) != 6 or any(c not in SIGNS for c in code):
        return None
    return code if check_sign(code[:5]) == code[5] else None


def seal(text: str) -> str:
    """Encrypt a gate code for the database."""
    return _fernet().encrypt(text.encode()).decode() if text else ""


def unseal(sealed: str) -> str:
    """The gate code again; empty if its key is gone."""
    try:
        return _fernet().decrypt(sealed.encode()).decode() if sealed else ""
    except InvalidToken:
        return ""


def _fernet() -> MultiFernet:
    keys = sorted(settings.KEYS["field"].items(), reverse=True)
    return MultiFernet([Fernet(base64.urlsafe_b64encode(key[:32])) for _, key in keys])
