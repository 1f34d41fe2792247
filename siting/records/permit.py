"""What a permit office must know beside the plan: who applies, for which parcel; the lines and distances of the site map."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words

Ring = tuple[tuple[float, float], ...]

# What permit offices ask of a site map: id, the item in plain words. Gathered from public codes of Goochland VA, Clear Creek
# CO, West Jefferson NC, Alameda and Contra Costa CA, Topeka KS, Guthrie Co. IA, Pinetop-Lakeside AZ and others; no office
# asks for all of them, and none for the same.
ASKED_FOR = (
    ("scale", "Standard engineering scale, written"),
    ("scale_bar", "Graphic scale"),
    ("north", "North arrow to true north"),
    ("title_block", "Title block: applicant, drawing number"),
    ("legend", "Legend; proposed told from existing"),
    ("date", "Date of the drawing"),
    ("sheet_size", "Sheet of 11 x 17 in at most"),
    ("vicinity", "Vicinity map"),
    ("lot_lines", "Whole lot with the lengths of its lines"),
    ("parcel", "Tax map number"),
    ("owner", "Owner of the land"),
    ("zoning", "Zoning"),
    ("adjoining", "Adjoining owners, deed and parcel no."),
    ("line_distances", "Distance to every property line"),
    ("road_distance", "Distance to road or right of way"),
    ("guys", "Guys and anchors"),
    ("height", "Height of the mast"),
    ("coordinates", "Latitude and longitude"),
    ("contours", "Contours or spot heights"),
    ("access", "Access"),
    ("fence", "Fence"),
    ("utilities", "Buried utilities"),
    ("overhead_lines", "Overhead lines"),
    ("easements", "Easements"),
    ("structures", "Structures on and next to the lot"),
    ("water", "Water and wetlands"),
    ("flood", "Flood zones"),
    ("air_notice", "Air navigation: notice where due"),
    ("elevation", "Elevation drawing of the mast"),
    ("surveyed_height", "Surveyed ground height at the base"),
    ("corners", "Lot corners marked on the site"),
    ("permission", "Owner's written permission"),
    ("removal", "Removal plan and security"),
)
ITEM_IDS = tuple(name for name, _ in ASKED_FOR)
METRES, FEET = "m", "ft"


@dataclass(frozen=True, slots=True)
class Revision:
    """A row of the revision table."""

    mark: str = words("letter or number of the revision")
    date: str = words("its day")
    text: str = words("what changed")
    by: str = words("who changed it")


@dataclass(frozen=True, slots=True)
class GivenItem:
    """An item of the checklist that the applicant hands in beside the map."""

    item: str = words("id of the item")
    reference: str = words("where it stands: a letter, a plan, an appendix")


@dataclass(frozen=True, slots=True)
class PermitFacts:
    """What the applicant says of the application; an empty text is not given."""

    applicant: str = words("who applies", "")
    address: str = words("address of the site", "")
    parcel: str = words("tax map number of the parcel", "")
    owner: str = words("owner of the land", "")
    zoning: str = words("zoning district", "")
    adjoining: tuple[str, ...] = words("adjoining owners, each with deed book, page and parcel number", ())
    access: str = words("how the site is reached", "")
    purpose: str = words("what the mast is for", "")
    drawing: str = words("number of the drawing", "")
    drawn_by: str = words("who drew it", "")
    checked_by: str = words("who checked it", "")
    revisions: tuple[Revision, ...] = words("revisions, the oldest first", ())
    scale: float | None = quantity("count", "one to this many, as the applicant wants it; null: the largest that fits", None)
    units: str = words("m or ft: unit of the lengths on the map", METRES)
    paper: str = words("paper of the map; empty: the plan's", "")
    given: tuple[GivenItem, ...] = words("items of the checklist that are handed in beside the map", ())


@dataclass(frozen=True, slots=True)
class MapOutline:
    """A parcel or an obstacle as it was read, whole, in WGS 84."""

    kind: str = words("parcel, own_parcel, own_land or the obstacle's own kind")
    id: str = words("its id")
    name: str = words("its name")
    owner: str = words("its owner, where the layer names one; else empty")
    geometry: str = words("Polygon or LineString")
    rings: tuple[Ring, ...] = quantity("latlon", "(lon, lat) pairs: one line, or exterior and holes")


@dataclass(frozen=True, slots=True)
class LineDistance:
    """A ground distance that the map dimensions."""

    start: str = words("stake id it is measured from")
    kind: str = words("property_line, or the obstacle's kind")
    to: str = words("parcel across the line, or the obstacle's name; empty where none is drawn")
    distance_m: float = quantity("length", "on the ground; negative where the stake lies outside the own land")
    bearing_deg: float = quantity("bearing", "true azimuth to the nearest point")
    lat: float = quantity("latlon", "WGS 84, of the nearest point")
    lon: float = quantity("latlon", "WGS 84, of the nearest point")


@dataclass(frozen=True, slots=True)
class LotLine:
    """A straight side of the own land's outline, clockwise."""

    number: int = words("number of the side")
    length_m: float = quantity("length", "on the ground")
    bearing_deg: float = quantity("bearing", "true azimuth from its start to its end")
    start: tuple[float, float] = quantity("latlon", "longitude and latitude of its start, WGS 84")
    end: tuple[float, float] = quantity("latlon", "longitude and latitude of its end, WGS 84")


@dataclass(frozen=True, slots=True)
class PermitGround:
    """What the site map draws of the land around: whole outlines, distances, sides of the lot."""

    outlines: tuple[MapOutline, ...] = words("parcels and obstacles as read, whole", (), in_json=False)
    distances: tuple[LineDistance, ...] = words("distances that the map dimensions, by start and length", ())
    lot_lines: tuple[LotLine, ...] = words("sides of the own land's outline; empty where no parcels were given", ())
    is_whole_lot: bool = words("true where every own parcel was read", False)
    layer_kinds: tuple[str, ...] = words("every kind that the obstacle layer holds; empty without one", ())
    sources: tuple[tuple[str, str], ...] = words("layer and file that it was read from", ())
