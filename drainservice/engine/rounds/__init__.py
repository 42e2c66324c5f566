"""Which technician is where and when: rounds, free times, weeks of a season, and their repair."""

# Raised when the same question may get another answer.
MODEL_VERSION = "2026.11-1"
