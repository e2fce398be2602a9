"""A small building model, spoilt along its own structure: lines of STEP cut, twice, of other kinds, or pointing anywhere."""

from __future__ import annotations

import random
import re
from typing import Final

_HEAD: Final = """ISO-10303-21;
HEADER;
FILE_DESCRIPTION((''),'2;1');
FILE_NAME('','2026-03-14T00:00:00',(''),(''),'','','');
FILE_SCHEMA(('{schema}'));
ENDSEC;
DATA;
"""
_TAIL: Final = "ENDSEC;\nEND-ISO-10303-21;\n"
_LINES: Final = """
#1=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);
#2=IFCUNITASSIGNMENT((#1));
#3=IFCCARTESIANPOINT((0.,0.,0.));
#4=IFCAXIS2PLACEMENT3D(#3,$,$);
#5=IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#4,$);
#6=IFCPROJECT('0000000000000000000001',$,'P',$,$,$,$,(#5),#2);
#7=IFCLOCALPLACEMENT($,#4);
#8=IFCBUILDING('0000000000000000000002',$,'B',$,$,#7,$,$,.ELEMENT.,$,$,$);
#9=IFCBUILDINGSTOREY('0000000000000000000003',$,'Level 1',$,$,#7,$,$,.ELEMENT.,0.);
#10=IFCBUILDINGSTOREY('0000000000000000000004',$,'Level 2',$,$,#11,$,$,.ELEMENT.,3600.);
#11=IFCLOCALPLACEMENT(#7,#12);
#12=IFCAXIS2PLACEMENT3D(#13,#14,#15);
#13=IFCCARTESIANPOINT((0.,0.,3600.));
#14=IFCDIRECTION((0.,0.,1.));
#15=IFCDIRECTION((1.,0.,0.));
#16=IFCRELAGGREGATES('0000000000000000000005',$,$,$,#6,(#8));
#17=IFCRELAGGREGATES('0000000000000000000006',$,$,$,#8,(#9,#10));
#20=IFCCARTESIANPOINT((0.,0.));
#21=IFCCARTESIANPOINT((6000.,0.));
#22=IFCCARTESIANPOINT((6000.,4000.));
#23=IFCCARTESIANPOINT((0.,4000.));
#24=IFCPOLYLINE((#20,#21,#22,#23,#20));
#25=IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#24);
#26=IFCEXTRUDEDAREASOLID(#25,#4,#14,3000.);
#27=IFCSHAPEREPRESENTATION(#5,'Body','SweptSolid',(#26));
#28=IFCPRODUCTDEFINITIONSHAPE($,$,(#27));
#29=IFCSPACE('0000000000000000000007',$,'101',$,$,#7,#28,'Office',.ELEMENT.,.INTERNAL.,$);
#30=IFCRELAGGREGATES('0000000000000000000008',$,$,$,#9,(#29));
#31=IFCAXIS2PLACEMENT2D(#20,$);
#32=IFCRECTANGLEPROFILEDEF(.AREA.,$,#31,6000.,150.);
#33=IFCEXTRUDEDAREASOLID(#32,#4,#14,3000.);
#34=IFCREPRESENTATIONMAP(#4,#35);
#35=IFCSHAPEREPRESENTATION(#5,'Body','SweptSolid',(#33));
#36=IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#3,1.,$);
#37=IFCMAPPEDITEM(#34,#36);
#38=IFCSHAPEREPRESENTATION(#5,'Body','MappedRepresentation',(#37));
#39=IFCPRODUCTDEFINITIONSHAPE($,$,(#38));
#40=IFCWALL('0000000000000000000009',$,'W',$,$,#7,#39,$,$);
#41=IFCRECTANGLEPROFILEDEF(.AREA.,$,#31,900.,150.);
#42=IFCEXTRUDEDAREASOLID(#41,#4,#14,2100.);
#43=IFCSHAPEREPRESENTATION(#5,'Body','SweptSolid',(#42));
#44=IFCPRODUCTDEFINITIONSHAPE($,$,(#43));
#45=IFCCARTESIANPOINT((2000.,0.,0.));
#46=IFCAXIS2PLACEMENT3D(#45,#14,#15);
#47=IFCLOCALPLACEMENT(#7,#46);
#48=IFCOPENINGELEMENT('000000000000000000000A',$,$,$,$,#47,#44,$,$);
#49=IFCRELVOIDSELEMENT('000000000000000000000B',$,$,$,#40,#48);
#50=IFCDOOR('000000000000000000000C',$,'101',$,$,#47,$,'77',2100.,900.,.DOOR.,.SINGLE_SWING_LEFT.,$);
#51=IFCDOOR('000000000000000000000D',$,'102',$,$,#47,#39,$,2100.,$,.DOOR.,.DOUBLE_DOOR_SINGLE_SWING.,$);
#52=IFCRELFILLSELEMENT('000000000000000000000E',$,$,$,#48,#51);
#53=IFCRELCONTAINEDINSPATIALSTRUCTURE('000000000000000000000F',$,$,$,(#40,#50,#51,#70),#9);
#54=IFCPROPERTYSINGLEVALUE('FireRating',$,IFCLABEL('EI 30'),$);
#55=IFCPROPERTYSINGLEVALUE('IsExternal',$,IFCBOOLEAN(.T.),$);
#56=IFCPROPERTYSINGLEVALUE('Mark',$,IFCLABEL('D-1'),$);
#57=IFCPROPERTYSET('000000000000000000000G',$,'Pset_DoorCommon',$,(#54,#55,#56));
#58=IFCRELDEFINESBYPROPERTIES('000000000000000000000H',$,$,$,(#50),#57);
#59=IFCDOORTYPE('000000000000000000000I',$,'T',$,$,(#57),(#34),$,$,.DOOR.,.SINGLE_SWING_RIGHT.,$,$);
#60=IFCRELDEFINESBYTYPE('000000000000000000000J',$,$,$,(#50,#51),#59);
#61=IFCRELSPACEBOUNDARY('000000000000000000000K',$,$,$,#29,#50,$,.PHYSICAL.,.INTERNAL.);
#70=IFCCABLECARRIERSEGMENT('000000000000000000000L',$,'tray',$,$,#47,#71,$,.CABLETRAYSEGMENT.);
#71=IFCPRODUCTDEFINITIONSHAPE($,$,(#72));
#72=IFCSHAPEREPRESENTATION(#5,'Body','Brep',(#73));
#73=IFCFACETEDBREP(#74);
#74=IFCCLOSEDSHELL((#75,#76));
#75=IFCFACE((#77));
#76=IFCFACE((#78));
#77=IFCFACEOUTERBOUND(#79,.T.);
#78=IFCFACEOUTERBOUND(#80,.T.);
#79=IFCPOLYLOOP((#3,#45,#81));
#80=IFCPOLYLOOP((#3,#45,#13));
#81=IFCCARTESIANPOINT((2000.,300.,0.));
#82=IFCCARTESIANPOINTLIST3D(((0.,0.,0.),(5000.,0.,0.),(5000.,150.,0.)));
#83=IFCTRIANGULATEDFACESET(#82,$,$,((1,2,3)),$);
#84=IFCSHAPEREPRESENTATION(#5,'Body','Tessellation',(#83,#88));
#85=IFCPRODUCTDEFINITIONSHAPE($,$,(#84));
#86=IFCWALL('000000000000000000000M',$,'W2',$,$,#11,#85,$,$);
#87=IFCCARTESIANPOINTLIST2D(((0.,0.),(5000.,0.),(5000.,150.)));
#88=IFCEXTRUDEDAREASOLID(#89,#4,#15,3000.);
#89=IFCARBITRARYPROFILEDEFWITHVOIDS(.AREA.,$,#90,(#93));
#90=IFCINDEXEDPOLYCURVE(#87,(IFCLINEINDEX((1,2)),IFCARCINDEX((2,3,1))),.F.);
#91=IFCCIRCLE(#31,500.);
#92=IFCTRIMMEDCURVE(#91,(IFCPARAMETERVALUE(0.)),(IFCPARAMETERVALUE(90.)),.T.,.PARAMETER.);
#93=IFCCOMPOSITECURVE((#94,#95),.F.);
#94=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.T.,#92);
#95=IFCCOMPOSITECURVESEGMENT(.CONTINUOUS.,.T.,#24);
""".strip().splitlines()
_REFERENCE: Final = re.compile(r"(?<=[(,])#\d+")
_NUMBER: Final = re.compile(r"(?<=[(,])-?\d+(\.\d*)?(E[-+]?\d+)?(?=[,)])")
_VALUE: Final = re.compile(r"(?<=[(,])('[^']*'|\.[A-Z_]+\.|\$|\*|#\d+|-?\d[^,)]*)(?=[,)])")
_NAME: Final = re.compile(r"(?<==)IFC[A-Z0-9]+")
_NUMBERS: Final = (
    "0.", "-1.", "1.E400", "1.E308", "-1.E308", "1.E-320", "NAN", "INF", "99999999999999999999", "1", "'1'", "$", "*", ".T.", "()", "1.E12",
    "-0.",
)  # fmt: skip
_VALUES: Final = (
    "$", "*", "''", "'\\X2\\D800\\X0\\'", "'\\X\\1B[2J'", "'=1+1'", "'" + "x" * 3000 + "'", "'../x'", "()", "(())", ".UNKNOWN.", ".T.",
    "#999999", "#0", "IFCLABEL('x')", "IFCBOOLEAN(.U.)", "1.E400", "'<b>'", "(#3,#3)", "'\\S\\'", "'\\X2\\00'", "\"0\"",
)  # fmt: skip
_SCHEMAS: Final = (
    "IFC4",
    "IFC4",
    "IFC4",
    "IFC4",
    "IFC2X3",
    "IFC4X3_ADD2",
    "IFC4X3",
    "IFC5",
    "AP214",
    "",
    "IFC4'),('IFC2X3",
)
_COPIES: Final = 40
_DEEP: Final = 12


def sound_model() -> bytes:
    """The model as it is meant."""
    return _text(list(_LINES), "IFC4")


def spoilt_model(chance: random.Random) -> bytes:
    """The model, spoilt in up to four places."""
    lines = list(_LINES)
    for _ in range(chance.randint(1, 4)):
        _spoil(lines, chance)
    if chance.random() < 0.05:
        lines += copies_of_copies(chance.choice([2, _COPIES]))
    data = _text(lines, chance.choice(_SCHEMAS))
    if chance.random() < 0.1:
        broken = bytearray(data)
        for _ in range(chance.randint(1, 4)):
            broken[chance.randrange(len(broken))] = chance.choice(b"\x00\xff'#();,=*/\x9b$")
        data = bytes(broken)
    return data[: chance.randrange(len(data))] if chance.random() < 0.03 else data


def _text(lines: list[str], schema: str) -> bytes:
    return (_HEAD.format(schema=schema) + "\n".join(lines) + "\n" + _TAIL).encode("utf-8", "surrogatepass")


def _spoil(lines: list[str], chance: random.Random) -> None:
    at = chance.randrange(len(lines))
    change = chance.random()
    names = [line.partition("=")[0] for line in lines]
    if change < 0.35:
        lines[at] = _replaced(lines[at], _REFERENCE, chance.choice([*names, *names, "#999999", names[at], "$"]), chance)
    elif change < 0.6:
        lines[at] = _replaced(lines[at], _NUMBER, chance.choice(_NUMBERS), chance)
    elif change < 0.78:
        lines[at] = _replaced(lines[at], _VALUE, chance.choice(_VALUES), chance)
    elif change < 0.86:
        other = _NAME.search(chance.choice(lines))
        lines[at] = _replaced(lines[at], _NAME, other[0] if other else "IFCNOTHING", chance)
    elif change < 0.91:
        del lines[at]
    elif change < 0.95:
        lines.insert(chance.randrange(len(lines)), lines[at])
    else:
        # arguments too few or too many
        lines[at] = lines[at].replace(",", chance.choice(["", ",$,"]), 1)


def _replaced(line: str, what: re.Pattern[str], by: str, chance: random.Random) -> str:
    places = list(what.finditer(line))
    if not places:
        return line
    place = chance.choice(places)
    return line[: place.start()] + by + line[place.end() :]


def copies_of_copies(copies: int) -> list[str]:
    """Mapped items of mapped items: a few lines that stand for more walls than there are atoms."""
    made, inner = [], "#26"
    for n in range(_DEEP):
        first = 1000 + 10 * n
        items = ",".join([inner] * copies)
        made += [
            f"#{first}=IFCSHAPEREPRESENTATION(#5,'Body','SweptSolid',({items}));",
            f"#{first + 1}=IFCREPRESENTATIONMAP(#4,#{first});",
            f"#{first + 2}=IFCMAPPEDITEM(#{first + 1},#36);",
        ]
        inner = f"#{first + 2}"
    return [
        *made,
        f"#1998=IFCSHAPEREPRESENTATION(#5,'Body','MappedRepresentation',({inner}));",
        "#1999=IFCPRODUCTDEFINITIONSHAPE($,$,(#1998));",
        "#2000=IFCWALL('000000000000000000000N',$,'W3',$,$,#7,#1999,$,$);",
    ]
