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

TITLES = {layer.form: layer.title for layer in LAYERS}


def make_layers(pdf: pikepdf.Pdf) -> None:
    """Make every form named in ``LAYERS`` an optional-content group (ISO 32000-1, 8.11)."""
    groups: dict[str, pikepdf.Object] = {}
    for page in pdf.pages:
        forms = page.resources.get("/XObject")
        for name, form in forms.items() if forms is not None else ():
            key = name.rpartition(".")[2]
            if key in TITLES and key not in groups:
                group = pikepdf.Dictionary(Type=pikepdf.Name("/OCG"), Name=TITLES[key])
                groups[key] = pdf.make_indirect(group)
            if key in groups:
                form.OC = groups[key]
    if groups:
        order = pikepdf.Array(groups[layer.form] for layer in LAYERS if layer.form in groups)
        pdf.Root.OCProperties = pikepdf.Dictionary(
            OCGs=order, D=pikepdf.Dictionary(Order=order, ON=order, BaseState=pikepdf.Name("/ON"))
        )
