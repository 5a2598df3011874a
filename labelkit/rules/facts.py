"""What the rules need to know of a product beside what is printed on it."""

from __future__ import annotations

import datetime as dt
from dataclasses import field
from decimal import Decimal

from labelkit.common.frozen import dataclass
from labelkit.formula.declaration import Declaration
from labelkit.order.evidence import Evidence


@dataclass(frozen=True, slots=True)
class PackageFace:
    """The face of the *package* (not of the sticker) that the buyer sees, in millimetres.

    A round face has ``shape`` "round" and its diameter as both width and height.
    """

    width_mm: Decimal
    height_mm: Decimal
    shape: str = "rectangle"

    @property
    def area_cm2(self) -> Decimal:
        if self.shape == "round":
            return self.width_mm * self.width_mm * Decimal("3.14159265358979") / 400
        return self.width_mm * self.height_mm / 100


@dataclass(frozen=True, slots=True)
class Facts:
    """The product and its sale, as declared by the maker. The text is judged from the runs."""

    face: PackageFace
    """Sets the principal display area."""
    net_weight_g: Decimal
    """Declared net weight of one piece."""
    languages: tuple[str, ...]
    """Languages the label is meant to be in, most important first."""
    declaration: Declaration
    sold_on: dt.date
    """When it is sold or given away; rules are those in force that day unless asked otherwise."""
    first_sold_on: dt.date | None = None
    """When this product was first sold where the region asks (new or existing); None: new."""
    identity: dict[str, str] = field(default_factory=dict)
    """The product identity per language."""
    dealer_name: str = ""
    dealer_address: tuple[str, ...] = ()
    """Lines of the address as printed, the last with municipality and province or country."""
    contact: tuple[str, ...] = ()
    lot: str = ""
    planned_lot: str = ""
    """What to write as the lot where none is given; empty where that is not known."""
    scent: dict[str, str] = field(default_factory=dict)
    product_class: str = "cosmetic"
    """"cosmetic" or "soap" (only where a region tells them apart)."""
    rinse_off: bool = True
    imported: bool = False
    """Made abroad for a dealer in the region, whose name alone is on the label."""
    made_in: str = ""
    """Code of the country it is made in (ISO 3166, or "GB-NIR"); empty: not known."""
    made_abroad: bool = False
    """Whether that is outside the region whose rules are asked: the judge fills it in for each."""
    ingredients_on: str = "back"
    """The panel, "tag", "card", "leaflet", "notice" or "website" that carries the list."""
    ingredients_url: str = ""
    list_on_back_mm: Decimal | None = None
    """How tall the letters of a list that is elsewhere would be on the label's own back; None: it
    does not fit, or was not tried."""
    total_surface_cm2: Decimal | None = None
    """Whole package surface available for labels, where a rule goes by it."""
    soap_colour: str | None = None
    """#rrggbb of the piece behind clear stock."""
    clear_stock: bool = False
    e_mark: bool = False
    durability_months: int | None = None
    """How long the piece keeps; None: not known."""
    kept_from: dt.date | None = None
    """From when those months count: the day of pouring or, where that is not known, the first day
    that cannot lie before it; None: the day of sale."""
    back_is_bottom: bool | None = None
    """Whether the back label is on the side that the piece lies on; None: not said."""
    street_listed: str = ""
    """The directory that lists the firm's street where the label leaves it out; empty: none."""
    label_is_tag: bool = False
    """The label hangs on a band too narrow to have a face: its own side is the display surface."""
    evidence: tuple[Evidence, ...] = ()
    """What the maker can prove of what the label claims."""
    opaque: tuple[str, ...] = ()
    """Panels on a stock of their own that is not clear, whatever the labels' is."""
    white_under: bool = False
    """A printing works lays white under the whole label: what is printed stands on that."""
    covering_inks: tuple[str, ...] = ()
    """Inks (#rrggbb) that a printing works lays white under: they cover what they are on."""

    def clear_on(self, panel: str) -> bool:
        """Whether a panel is printed on clear stock."""
        return self.clear_stock and panel not in self.opaque
