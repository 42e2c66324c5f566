"""Due dates: the earliest of reliability, trend, season, rules and caps, with the reason."""

MODEL_VERSION = "2026.11-2"
