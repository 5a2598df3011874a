"""The few kinds of check. A table row names one of these and gives its numbers."""

from __future__ import annotations

from labelkit.rules.kinds.base import Kind
from labelkit.rules.kinds.claims import Claims
from labelkit.rules.kinds.firm import Address, Contact, OneAddressStandsOut
from labelkit.rules.kinds.french import MarkWords, OwnWords, StandsFirst
from labelkit.rules.kinds.height import Height
from labelkit.rules.kinds.ingredients import (
    Allergens,
    ListBasis,
    ListCommonNames,
    ListLast,
    ListNames,
    ListNeverNames,
    ListOrder,
    ListPlace,
    ListRoom,
    ListSchedule,
    ListTerm,
)
from labelkit.rules.kinds.keeping import KeepsNoLonger, StillKeeps
from labelkit.rules.kinds.letter_shape import LetterShape
from labelkit.rules.kinds.marks import DateOrder, Durability, EstimatedSign, PeriodForDate
from labelkit.rules.kinds.notes import Duty, FaceHoldsLabel, Tolerance
from labelkit.rules.kinds.place_of_business import NotOnBottom, Street
from labelkit.rules.kinds.presence import LanguageFollows, Languages, Optional, Present
from labelkit.rules.kinds.quantity import (
    Decimals,
    Figures,
    Grouped,
    LeadingZero,
    MetricLeads,
    NotOverstated,
    Pair,
    Symbols,
    System,
    UnitSpace,
)
from labelkit.rules.kinds.setting import Bold, ClearSpace, Contrast, Place, Prominence, RelativeSize
from labelkit.rules.kinds.words import Forbidden, Says, SaysInAll, TellsProduct, WordsFollow

KINDS: dict[str, type[Kind]] = {
    "present": Present,
    "optional": Optional,
    "languages": Languages,
    "language-follows": LanguageFollows,
    "says": Says,
    "says-in-all": SaysInAll,
    "words-follow": WordsFollow,
    "tells-product": TellsProduct,
    "forbidden-words": Forbidden,
    "claims": Claims,
    "own-words": OwnWords,
    "mark-words": MarkWords,
    "stands-first": StandsFirst,
    "height": Height,
    "bold": Bold,
    "relative-size": RelativeSize,
    "place": Place,
    "clear-space": ClearSpace,
    "contrast": Contrast,
    "prominence": Prominence,
    "quantity-system": System,
    "quantity-figures": Figures,
    "quantity-decimals": Decimals,
    "quantity-leading-zero": LeadingZero,
    "quantity-symbols": Symbols,
    "quantity-space": UnitSpace,
    "quantity-not-overstated": NotOverstated,
    "quantity-metric-leads": MetricLeads,
    "quantity-grouped": Grouped,
    "quantity-pair": Pair,
    "address": Address,
    "one-address-stands-out": OneAddressStandsOut,
    "contact": Contact,
    "street": Street,
    "not-on-bottom": NotOnBottom,
    "letter-shape": LetterShape,
    "list-place": ListPlace,
    "list-room": ListRoom,
    "list-order": ListOrder,
    "list-last": ListLast,
    "list-names": ListNames,
    "list-term": ListTerm,
    "list-never": ListNeverNames,
    "list-basis": ListBasis,
    "list-common-names": ListCommonNames,
    "list-schedule": ListSchedule,
    "allergens": Allergens,
    "durability": Durability,
    "period-for-date": PeriodForDate,
    "still-keeps": StillKeeps,
    "keeps-no-longer": KeepsNoLonger,
    "date-order": DateOrder,
    "estimated-sign": EstimatedSign,
    "duty": Duty,
    "tolerance": Tolerance,
    "face-holds-label": FaceHoldsLabel,
}
"""Name in the tables: the check."""
