"""The demonstration: an invented firm in an invented county, loaded through the real actions."""
