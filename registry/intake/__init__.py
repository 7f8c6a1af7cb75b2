"""Strangers' pictures are decoded in a process of their own, which may use little and knows nothing.

child    what runs there: reads a picture, decodes it under limits, writes the answer; no settings, no database
workers  what runs here: a few such processes, started once, each replaced when it has served or failed
wire     how the two talk
limits   how much a picture may take

No Django here: a caller passes the limits in.
"""

from .workers import Decoder, DecoderBusy, DecoderFailed, decode

__all__ = ["Decoder", "DecoderBusy", "DecoderFailed", "decode"]
