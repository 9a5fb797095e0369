"""Layers a reader can switch off: lines by what they are for, and all words."""

from __future__ import annotations

from dataclasses import dataclass

import pikepdf

from layfigure.piece.ink import Ink


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """form : name of the form that holds it. title : what the reader shows. inks : what is on it."""

    form: str
    title: str
    inks: frozenset[Ink]


LAYERS = (
    Layer(form="allowances", title="Cut lines and allowances", inks=frozenset({"cut", "window", "slit"})),
    Layer(form="stitches", title="Stitch lines and notches", inks=frozenset({"stitch", "fold", "notch"})),
    Layer(
        form="balance",
        title="Balance lines and grain",
        inks=frozenset({"balance", "centre", "trim", "placement", "grain"}),
    ),
    Layer(form="words", title="Words", inks=frozenset({"words", "leader"})),
)


def make_layers(pdf: pikepdf.Pdf) -> None:
    """Make every form named in ``LAYERS`` an optional-content group (ISO 32000-1, 8.11)."""
    groups = {}
    for layer in LAYERS:
        group = pikepdf.Dictionary(Type=pikepdf.Name("/OCG"), Name=layer.title)
        groups[layer.form] = pdf.make_indirect(group)
    for page in pdf.pages:
        forms = page.resources.get("/XObject")
        for name, form in forms.items() if forms is not None else ():
            belongs = groups.get(name.rpartition(".")[2])
            if belongs is not None:
                form.OC = belongs
    order = pikepdf.Array(groups.values())
    pdf.Root.OCProperties = pikepdf.Dictionary(
        OCGs=order, D=pikepdf.Dictionary(Order=order, ON=order, BaseState=pikepdf.Name("/ON"))
    )
