"""What a wall, floor, door or window is built of."""

from typing import Self

from pydantic import Field, model_validator

from pathproof.job._model import Decibels, Label, Model, Source, Text, Thickness
from pathproof.terms import Material


class LayerSpec(Model):
    """One layer of a construction."""

    material: Material
    """Row of Rec. ITU-R P.2040 table 3, or air (cavity, studs, insulation)."""
    thickness_m: Thickness
    """Thickness. [m]"""


class Construction(Model):
    """A build-up by layers, or a fixed loss where the build-up is not known."""

    name: Label
    """What people call it."""
    layers: list[LayerSpec] = Field(default=[], max_length=40)
    """Layers from outside to inside; for floors from top to bottom."""
    fixed_loss_db: Decibels | None = Field(default=None, ge=0.0)
    """Loss at any angle and frequency, instead of layers. [dB]"""
    is_floor: bool = False
    """True for a floor whose fixed loss follows the COST 231 sum over several floors."""
    guessed: bool = False
    """True when nobody said what it is built of; predictions through it keep the wider spread."""
    source: Source
    """Where the build-up or the loss comes from."""
    note: Text = ""
    """What a reader should know, for instance the name in the plan file."""

    @model_validator(mode="after")
    def _layers_or_loss(self) -> Self:
        if bool(self.layers) == (self.fixed_loss_db is not None):
            raise ValueError("give either layers or fixed_loss_db, not both and not neither")
        return self

    @property
    def known(self) -> bool:
        """Whether the build-up is known by layers and not guessed."""
        return bool(self.layers) and not self.guessed
