"""Findings for the building model: topics in the open BIM Collaboration Format, version 3.0, of buildingSMART International.

Each finding that is not passed is a topic: open, or accepted with its acceptance as a comment. Where the site was imported from a
model, the doors are named by their ids there (ISO 16739 GlobalId). The same findings give the same bytes: names of topics are
made from what they are about, dates are the site's, and the archive is not compressed.
"""

from __future__ import annotations

import io
import math
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final
from uuid import NAMESPACE_URL, UUID, uuid5
from xml.etree import ElementTree as ET

from riserkit.findings import Finding, Severity, Verdict
from riserkit.model.info import SiteInfo
from riserkit.model.opening import Opening
from riserkit.model.site import Site

VERSION: Final = "3.0"
OPEN, ACCEPTED = "Open", "Accepted"
_ROOT: Final = uuid5(NAMESPACE_URL, "urn:riserkit:findings")
_WRITTEN: Final = (1980, 1, 1, 0, 0, 0)
_NO_AUTHOR: Final = "riserkit"
_EYE_M: Final = 1.5
_AWAY_M: Final = 4.0
_ABOVE_M: Final = 10.0
_ROOM_M: Final = 3.0
_FIELD_OF_VIEW_DEG: Final = 60.0
_ASPECT: Final = 4 / 3
_NOT_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_WORST_FIRST: Final = tuple(Severity)


@dataclass(frozen=True, slots=True)
class ModelLink:
    """What of a site came from a building model.

    Args:
        door: GlobalId of each door's element, by mark.
        documents: names of the models.
    """

    door: Mapping[str, str] = field(default_factory=dict)
    documents: tuple[str, ...] = ()


def bcf_bytes(
    site: Site, findings: Iterable[Finding], link: ModelLink | None = None, least: Severity = Severity.WARNING
) -> bytes:
    """The archive.

    Args:
        site: whose findings they are.
        findings: of its rules, acceptances applied.
        link: what of it came from a model.
        least: the lowest severity that becomes a topic.
    """
    some = _WORST_FIRST[: _WORST_FIRST.index(least) + 1]
    told = [f for f in findings if f.verdict is not Verdict.PASS and f.severity in some]
    topics = [_Topic(site, finding, link or ModelLink()) for finding in told]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name, root in _files(site, topics):
            entry = zipfile.ZipInfo(name, _WRITTEN)
            entry.create_system, entry.external_attr = 3, 0o644 << 16
            ET.indent(root)
            archive.writestr(entry, ET.tostring(root, encoding="utf-8", xml_declaration=True) + b"\n")
    return out.getvalue()


def _files(site: Site, topics: Sequence[_Topic]) -> Iterator[tuple[str, ET.Element]]:
    yield "bcf.version", ET.Element("Version", VersionId=VERSION)
    project = ET.Element("ProjectInfo")
    _text(ET.SubElement(project, "Project", ProjectId=str(_project(site.info))), "Name", site.info.name)
    yield "project.bcfp", project
    yield "extensions.xml", _extensions(topics)
    for topic in topics:
        yield f"{topic.guid}/markup.bcf", topic.markup()
        if (view := topic.view()) is not None:
            yield f"{topic.guid}/{topic.view_name}", view


def _extensions(topics: Sequence[_Topic]) -> ET.Element:
    """Every word that topics use, so that a reader offers no others."""
    root = ET.Element("Extensions")
    findings = [topic.finding for topic in topics]
    of = {
        "TopicTypes": ("TopicType", {str(f.severity) for f in findings}),
        "TopicStatuses": ("TopicStatus", {OPEN, ACCEPTED}),
        "Priorities": ("Priority", {str(f.harm) for f in findings if f.harm}),
        "TopicLabels": ("TopicLabel", {label for topic in topics for label in topic.labels}),
        "Users": ("User", {name for topic in topics for name in topic.people}),
    }
    for group, (name, words) in of.items():
        holder = ET.SubElement(root, group)
        for word in sorted(words):
            _text(holder, name, word)
    return root


@dataclass(frozen=True)
class _Topic:
    site: Site
    finding: Finding
    link: ModelLink

    @property
    def guid(self) -> UUID:
        """By what it is about and not by what it says: it stays the same topic while a value changes."""
        return uuid5(_project(self.site.info), " ".join((*self.finding.key, self.finding.subject_kind)))

    @property
    def view_guid(self) -> UUID:
        return uuid5(self.guid, "view")

    @property
    def view_name(self) -> str:
        return f"{self.view_guid}.bcfv"

    @property
    def openings(self) -> tuple[Opening, ...]:
        """The openings that it is about."""
        marks = dict.fromkeys((self.finding.subject, *self.finding.concerns))
        return tuple(self.site.opening[mark] for mark in marks if mark in self.site.opening)

    @property
    def labels(self) -> tuple[str, ...]:
        return self.finding.rule, self.finding.subject_kind

    @property
    def people(self) -> tuple[str, ...]:
        given = self.finding.acceptance
        return (_author(self.site.info), *([given.name] if given else []))

    def markup(self) -> ET.Element:
        root, f = ET.Element("Markup"), self.finding
        if self.link.documents:
            files = ET.SubElement(ET.SubElement(root, "Header"), "Files")
            for name in self.link.documents:
                _text(ET.SubElement(files, "File", IsExternal="true"), "Filename", name)
        status = ACCEPTED if f.acceptance else OPEN
        topic = ET.SubElement(root, "Topic", Guid=str(self.guid), TopicType=str(f.severity), TopicStatus=status)
        _text(topic, "Title", f"{f.subject}: {f.rule}{f', {f.about}' if f.about else ''}")
        if f.harm:
            _text(topic, "Priority", str(f.harm))
        labels = ET.SubElement(topic, "Labels")
        for label in self.labels:
            _text(labels, "Label", label)
        _text(topic, "CreationDate", _dated(self.site.info))
        _text(topic, "CreationAuthor", _author(self.site.info))
        _text(topic, "Description", "\n".join(_described(f)))
        if f.acceptance:
            self._comment(ET.SubElement(topic, "Comments"))
        if self.openings:
            views = ET.SubElement(topic, "Viewpoints")
            _text(ET.SubElement(views, "ViewPoint", Guid=str(self.view_guid)), "Viewpoint", self.view_name)
        return root

    def _comment(self, comments: ET.Element) -> None:
        given = self.finding.acceptance
        if given is None:
            return
        comment = ET.SubElement(comments, "Comment", Guid=str(uuid5(self.guid, "acceptance")))
        _text(comment, "Date", f"{given.date.isoformat()}T00:00:00Z")
        _text(comment, "Author", given.name)
        by = ", ".join(filter(None, (given.authority, given.reference)))
        _text(comment, "Comment", f"Accepted: {given.reason}{f' ({by})' if by else ''}")

    def view(self) -> ET.Element | None:
        """Where to look from: at one door from the unsecured side, at several or where no side is stated from above."""
        if not self.openings:
            return None
        root = ET.Element("VisualizationInfo", Guid=str(self.view_guid))
        named = [self.link.door[o.mark] for o in self.openings if o.mark in self.link.door]
        components = ET.SubElement(root, "Components")
        if named:
            selection = ET.SubElement(components, "Selection")
            for name in named:
                ET.SubElement(selection, "Component", IfcGuid=name)
        ET.SubElement(components, "Visibility", DefaultVisibility="true")
        if len(self.openings) == 1 and self.openings[0].secured_normal_deg is not None:
            self._facing(root, self.openings[0], self.openings[0].secured_normal_deg)
        else:
            self._from_above(root)
        return root

    def _facing(self, root: ET.Element, opening: Opening, towards_deg: float) -> None:
        x, y = math.cos(math.radians(towards_deg)), math.sin(math.radians(towards_deg))
        eye_m = self._floor_m(opening) + _EYE_M
        camera = ET.SubElement(root, "PerspectiveCamera")
        _point(camera, "CameraViewPoint", opening.x_m - _AWAY_M * x, opening.y_m - _AWAY_M * y, eye_m)
        _point(camera, "CameraDirection", x, y, 0.0)
        _point(camera, "CameraUpVector", 0.0, 0.0, 1.0)
        _text(camera, "FieldOfView", f"{_FIELD_OF_VIEW_DEG:.1f}")
        _text(camera, "AspectRatio", f"{_ASPECT:.4f}")

    def _from_above(self, root: ET.Element) -> None:
        xs, ys = [o.x_m for o in self.openings], [o.y_m for o in self.openings]
        top_m = max(map(self._floor_m, self.openings)) + _ABOVE_M
        height_m = max(max(ys) - min(ys), (max(xs) - min(xs)) / _ASPECT) + 2 * _ROOM_M
        camera = ET.SubElement(root, "OrthogonalCamera")
        _point(camera, "CameraViewPoint", (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, top_m)
        _point(camera, "CameraDirection", 0.0, 0.0, -1.0)
        _point(camera, "CameraUpVector", 0.0, 1.0, 0.0)
        _text(camera, "ViewToWorldScale", f"{height_m:.3f}")
        _text(camera, "AspectRatio", f"{_ASPECT:.4f}")

    def _floor_m(self, opening: Opening) -> float:
        level = self.site.level.get(opening.level)
        return level.elevation_m if level else 0.0


def _project(info: SiteInfo) -> UUID:
    return uuid5(_ROOT, f"{info.project_number} {info.name}")


def _author(info: SiteInfo) -> str:
    return info.checked_by or info.designer or _NO_AUTHOR


def _dated(info: SiteInfo) -> str:
    """The site's date: the same site always yields the same bytes, so it is never today's."""
    return f"{info.issue_date.isoformat()}T00:00:00Z"


def _described(finding: Finding) -> Iterator[str]:
    yield finding.message
    if finding.verdict is Verdict.NOT_EVALUATED:
        yield "Not evaluated."
    if finding.remedy:
        yield f"Remedy: {finding.remedy}"
    yield f"Source: {finding.source}"
    if finding.concerns:
        yield f"Openings: {', '.join(finding.concerns)}"


def _text(parent: ET.Element, name: str, text: str) -> None:
    ET.SubElement(parent, name).text = _NOT_XML.sub("\ufffd", text)


def _point(parent: ET.Element, name: str, *at: float) -> None:
    point = ET.SubElement(parent, name)
    for axis, value in zip("XYZ", at, strict=True):
        _text(point, axis, f"{value + 0.0:.4f}")
