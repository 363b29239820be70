# pyright: reportMissingTypeStubs=false, reportAttributeAccessIssue=false, reportUnknownVariableType=false
# pyright: reportUnknownMemberType=false, reportUnknownArgumentType=false
"""STEP (ISO 10303-21) of an assembly: one product per distinct part, placed as often as it occurs."""

from __future__ import annotations

import io
import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Fail
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_AsIs
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from rackgen.errors import SolidError
from rackgen.geom.frame import Frame
from rackgen.solid.kernel import Solid, location, refusal
from rackgen.solid.kernel import solids as solids_of


@dataclass(frozen=True, eq=False)
class Product:
    """A shape and where it stands.

    Attributes:
        name: of the product.
        shape: in its own frame.
        colour: red, green, blue as shown on a screen (sRGB), 0 to 1.
        places: name and frame of every occurrence.
    """

    name: str
    shape: Solid
    colour: tuple[float, float, float]
    places: tuple[tuple[str, Frame], ...]


def step_file(name: str, products: Sequence[Product], program: str) -> bytes:
    """Return a STEP file by application protocol 214 (ISO 10303-214, `AUTOMOTIVE_DESIGN`), in millimetres.

    214 rather than 242, which costs the same: older programs read it, and nothing here needs more. Images of curves on
    surfaces are left out, which halves the file; every reader can make them. No date: same input, same bytes.

    Args:
        name: of the whole, the root of the assembly.
        products: the distinct parts, each with its places.
        program: written into the header as what made the file.

    Raises:
        SolidError: the kernel could not write it.
    """
    # The kernel reports on its writing to standard output unless its messages are kept to failures.
    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Fail)
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    with refusal("a STEP file"):
        _fill(document, name, products)
        text = _written(document, name, program)
    return _coloured(_counted(text), products).encode("ascii")


def _fill(document: Any, name: str, products: Sequence[Product]) -> None:
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    whole = shapes.NewShape()
    _call(whole, name)
    for product in products:
        label = shapes.AddShape(product.shape.shape, False)
        _call(label, product.name)
        for place, frame in product.places:
            _call(shapes.AddComponent(whole, label, location(frame)), place)
    shapes.UpdateAssemblies()


def _call(label: Any, name: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name, True))


def _written(document: Any, name: str, program: str) -> str:
    writer = STEPCAFControl_Writer()
    # The kernel keeps these for the whole process, so they are set before every file.
    Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)
    writer.SetNameMode(True)
    # Colours are added by `_coloured`: the kernel writes them in the order of memory addresses.
    writer.SetColorMode(False)
    if not writer.Transfer(document, STEPControl_AsIs):
        raise SolidError("the kernel could not turn the rack into STEP")
    header = APIHeaderSection_MakeHeader(writer.ChangeWriter().Model())
    header.SetName(TCollection_HAsciiString(name))
    header.SetTimeStamp(TCollection_HAsciiString(""))
    header.SetAuthorValue(1, TCollection_HAsciiString(""))
    header.SetOrganizationValue(1, TCollection_HAsciiString(""))
    header.SetAuthorisation(TCollection_HAsciiString(""))
    header.SetOriginatingSystem(TCollection_HAsciiString(program))
    header.SetPreprocessorVersion(TCollection_HAsciiString(program))
    out = io.BytesIO()
    if writer.WriteStream(out) != IFSelect_RetDone:
        raise SolidError("the kernel could not write STEP")
    return out.getvalue().decode("ascii")


def _counted(text: str) -> str:
    """Return the file with its occurrences numbered from 1; the kernel counts on from one file to the next."""
    numbers = itertools.count(1)

    def again(match: re.Match[str]) -> str:
        # On one line, since where the kernel breaks it depends on its own number.
        rest = re.sub(r"\n *", "", match[1])
        return f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{next(numbers)}',{rest};"

    return re.sub(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d+',([^;]*);", again, text)


def _coloured(text: str, products: Sequence[Product]) -> str:
    """Return the file with a surface colour for every solid, in the order of the products."""
    data, end, rest = text.partition("ENDSEC;\nEND-ISO")
    solids = re.findall(r"^#(\d+) = (?:MANIFOLD_SOLID_BREP|BREP_WITH_VOIDS)\(", data, re.MULTILINE)
    contexts = [int(n) for n in re.findall(r"^#(\d+) = \( GEOMETRIC_REPRESENTATION_CONTEXT", data, re.MULTILINE)]
    colours = [p.colour for p in products for _ in solids_of(p.shape)]
    if len(solids) != len(colours) or not contexts:
        raise SolidError(f"STEP holds {len(solids)} solids instead of {len(colours)}")
    number = itertools.count(max(int(n) for n in re.findall(r"^#(\d+) =", data, re.MULTILINE)) + 1)
    lines: list[str] = []
    looks: dict[tuple[float, float, float], int] = {}

    def line(words: str) -> int:
        lines.append(f"#{(here := next(number))} = {words};\n")
        return here

    for solid, colour in zip(solids, colours, strict=True):
        if colour not in looks:
            last = line(f"COLOUR_RGB('',{','.join(f'{c:.6f}' for c in colour)})")
            for words in (
                "FILL_AREA_STYLE_COLOUR('',#{})",
                "FILL_AREA_STYLE('',(#{}))",
                "SURFACE_STYLE_FILL_AREA(#{})",
                "SURFACE_SIDE_STYLE('',(#{}))",
                "SURFACE_STYLE_USAGE(.BOTH.,#{})",
                "PRESENTATION_STYLE_ASSIGNMENT((#{}))",
            ):
                last = line(words.format(last))
            looks[colour] = last
        styled = line(f"STYLED_ITEM('color',(#{looks[colour]}),#{solid})")
        # A product's context is written after its solids.
        context = next(c for c in contexts if c > int(solid))
        line(f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#{styled}),#{context})")
    return data + "".join(lines) + end + rest
