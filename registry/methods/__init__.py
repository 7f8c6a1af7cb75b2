"""Floor 0, pure: plain values in, plain values out. No Django, no clock, no files, no network."""
