"""Computed results as they are kept: inputs, model version, what they say, and how to replay."""
