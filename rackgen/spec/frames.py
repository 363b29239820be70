"""Kinds of frame that are asked for, and how their rails end."""

from __future__ import annotations

from typing import Literal

FrameKind = Literal["hoop", "ladder", "bows", "bed"]
"""One hoop with its legs aft, on straps at the rear; two side rails with cross bars between them, on feet; bowed tubes
across, each on its own pair of feet; side rails on posts from a pickup's bed rails."""

FrontEnd = Literal["bent", "mitred", "open"]
"""Both rails and the front tube bent from one; a front tube mitred to the rails; rails that end in caps."""

RearEndKind = Literal["open", "mitred"]
"""Rails that end in caps; a rear tube mitred to the rails."""

KneeBraces = Literal["tube", "bar", "none"]
"""What stiffens a post under its rail."""
