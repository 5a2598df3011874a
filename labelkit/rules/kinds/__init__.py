"""The few kinds of check. A table row names one of these and gives its numbers."""

from __future__ import annotations

from labelkit.rules.kinds.base import CheckKind
from labelkit.rules.kinds.claims import ForbiddenClaims
from labelkit.rules.kinds.firm import Address, Contact, OneAddressStandsOut
from labelkit.rules.kinds.french import MarkWords, OwnWords, StandsFirst
from labelkit.rules.kinds.height import LetterHeight
from labelkit.rules.kinds.ingredients import (
    ListAllergens,
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
from labelkit.rules.kinds.marks import DateOrder, Durability, EstimatedSign, PeriodForDate
from labelkit.rules.kinds.notes import DutyBesideLabel, FaceHoldsLabel, SaleTolerance
from labelkit.rules.kinds.place_of_business import NotOnBottom, StreetAddress
from labelkit.rules.kinds.presence import (
    ElementLanguages,
    LanguageFollows,
    OptionalElement,
    PresentElement,
)
from labelkit.rules.kinds.quantity import (
    LeadingZero,
    MetricLeads,
    NotOverstated,
    QuantityDecimals,
    QuantityFigures,
    QuantityGroup,
    QuantityPair,
    QuantitySymbols,
    QuantitySystem,
    UnitSpace,
)
from labelkit.rules.kinds.setting import (
    BoldFace,
    ClearSpace,
    LetterShape,
    LowestPart,
    Prominence,
    RelativeSize,
    TextContrast,
)
from labelkit.rules.kinds.words import (
    ForbiddenWords,
    SaysInAll,
    SaysPhrase,
    TellsProduct,
    WordsFollow,
)

KINDS: dict[str, type[CheckKind]] = {
    "present": PresentElement,
    "optional": OptionalElement,
    "languages": ElementLanguages,
    "language-follows": LanguageFollows,
    "says": SaysPhrase,
    "says-in-all": SaysInAll,
    "words-follow": WordsFollow,
    "tells-product": TellsProduct,
    "forbidden-words": ForbiddenWords,
    "claims": ForbiddenClaims,
    "own-words": OwnWords,
    "mark-words": MarkWords,
    "stands-first": StandsFirst,
    "height": LetterHeight,
    "bold": BoldFace,
    "relative-size": RelativeSize,
    "place": LowestPart,
    "clear-space": ClearSpace,
    "contrast": TextContrast,
    "prominence": Prominence,
    "quantity-system": QuantitySystem,
    "quantity-figures": QuantityFigures,
    "quantity-decimals": QuantityDecimals,
    "quantity-leading-zero": LeadingZero,
    "quantity-symbols": QuantitySymbols,
    "quantity-space": UnitSpace,
    "quantity-not-overstated": NotOverstated,
    "quantity-metric-leads": MetricLeads,
    "quantity-grouped": QuantityGroup,
    "quantity-pair": QuantityPair,
    "address": Address,
    "one-address-stands-out": OneAddressStandsOut,
    "contact": Contact,
    "street": StreetAddress,
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
    "allergens": ListAllergens,
    "durability": Durability,
    "period-for-date": PeriodForDate,
    "still-keeps": StillKeeps,
    "keeps-no-longer": KeepsNoLonger,
    "date-order": DateOrder,
    "estimated-sign": EstimatedSign,
    "duty": DutyBesideLabel,
    "tolerance": SaleTolerance,
    "face-holds-label": FaceHoldsLabel,
}
"""Name in the tables: the check."""
