"""What the types of every stage are built from."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

End = Literal["front", "rear"]
Side = Literal["left", "right"]
Phase = Literal["found", "left"]
State = Literal["present", "absent", "unsure", "unseen"]
ActionStatus = Literal["done", "wanted"]


class Frozen(BaseModel):
    """Base of all types here: immutable, and unknown keys are refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")
