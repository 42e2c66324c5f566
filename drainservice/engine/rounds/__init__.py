"""Which technician is where and when: rounds, free times, weeks of a season, and their repair."""
