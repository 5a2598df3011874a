"""How each region judges a lot by weight: the table, and the verdict on weighed pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from decimal import ROUND_CEILING, Decimal
from functools import lru_cache
from typing import Any

from labelkit.common.frozen import dataclass
from labelkit.common.own_tables import read_own_table
from labelkit.rules.duties import find_tolerance_g
from labelkit.rules.region_tables import list_ancestry

DEFAULT = "default"
MEMORY = "memory"


@dataclass(frozen=True, slots=True)
class SampleSize:
    """How many pieces are weighed from a lot of up to so many; exactly one of the two is set."""

    upto: int | None
    percent: Decimal | None = None
    least: int = 0
    count: int | None = None

    def of(self, lot: int) -> int:
        if self.count is not None:
            return min(lot, self.count)
        share = (lot * (self.percent or Decimal(0)) / 100).to_integral_value(ROUND_CEILING)
        return min(lot, max(self.least, int(share)))


@dataclass(frozen=True, slots=True)
class ShortLimit:
    """In a sample of up to so many, this many short pieces fail the lot."""

    upto: int | None
    fails_at: int


@dataclass(frozen=True, slots=True)
class WeightBand:
    """The tolerance up to (inclusive) or below a declared weight."""

    upto_g: Decimal | None = None
    below_g: Decimal | None = None
    percent: Decimal | None = None
    grams: Decimal | None = None

    def holds(self, declared_g: Decimal) -> bool:
        if self.below_g is not None:
            return declared_g < self.below_g
        return self.upto_g is None or declared_g <= self.upto_g


@dataclass(frozen=True, slots=True)
class Scheme:
    """One region's way to judge a lot."""

    region: str
    title: str
    citation: str
    provenance: str
    samples: tuple[SampleSize, ...]
    sample_provenance: str
    shorts: tuple[ShortLimit, ...] = ()
    short_percent: Decimal | None = None
    """Instead of ``shorts``: the share of the lot that may be short."""
    far_times: Decimal | None = None
    """From this many tolerances on a piece is far short."""
    far_fails_at: int = 1
    t: Mapping[int, Decimal] = field(default_factory=dict)
    """By sample size: how many standard errors the average may be adjusted by."""
    adjustment_provenance: str = "read"
    bands: tuple[WeightBand, ...] = ()
    bands_provenance: str = "read"
    round_up_g: Decimal | None = None

    def sample(self, lot: int) -> int:
        """How many pieces of a lot are weighed."""
        row = next(s for s in self.samples if s.upto is None or lot <= s.upto)
        return row.of(lot)

    def fails_at(self, sample: int) -> int:
        """How many short pieces in a sample fail the lot."""
        if self.short_percent is not None:
            return int(sample * self.short_percent / 100) + 1
        return next(s.fails_at for s in self.shorts if s.upto is None or sample <= s.upto)

    def adjustment(self, sample: int, lot: int) -> Decimal:
        """Standard errors by which the average may be adjusted; none when the whole lot is weighed.

        None either for fewer pieces than the scheme weighs: its allowance is for its own sample. A
        sample size the table leaves out takes the value of the next larger one, which is smaller
        and so asks for more; one beyond the table takes none.
        """
        if not self.sample(lot) <= sample < lot:
            return Decimal(0)
        larger = [size for size in self.t if size >= sample]
        return self.t[min(larger)] if larger and sample > 1 else Decimal(0)


@dataclass(frozen=True, slots=True)
class WeightTolerance:
    """How far one piece may be short in a region, and whether that was read."""

    grams: Decimal
    provenance: str


@lru_cache(maxsize=1)
def load_schemes() -> Mapping[str, Scheme]:
    """Every scheme of the table, by region code."""
    rows = read_own_table("plan/tables/lots")["scheme"]
    return {row["region"]: _parse_scheme(row) for row in rows}


def find_scheme(region: str) -> Scheme:
    """The scheme of a region or of the nearest it extends; InputError for an unknown region."""
    table = load_schemes()
    return next((table[code] for code in list_ancestry(region) if code in table), table[DEFAULT])


def find_weight_tolerance(region: str, declared_g: Decimal) -> WeightTolerance:
    """How far one piece of a declared weight may be short, by the rules table or by the scheme's.

    Beyond the scheme's last band the default share is used, from memory.
    """
    scheme = find_scheme(region)
    ruled = find_tolerance_g(region, declared_g)
    if ruled is not None:
        return WeightTolerance(ruled, scheme.provenance)
    for band in scheme.bands:
        if band.holds(declared_g):
            return WeightTolerance(
                _compute_band_grams(band, declared_g, scheme.round_up_g), scheme.bands_provenance
            )
    last = load_schemes()[DEFAULT]
    return WeightTolerance(
        _compute_band_grams(last.bands[0], declared_g, None), last.bands_provenance
    )


def _compute_band_grams(band: WeightBand, declared_g: Decimal, step_g: Decimal | None) -> Decimal:
    if band.grams is not None:
        return band.grams
    grams = declared_g * (band.percent or Decimal(0)) / 100
    if step_g:
        return (grams / step_g).to_integral_value(ROUND_CEILING) * step_g
    return grams


# -- judging ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class LotVerdict:
    """What one region's scheme says of the pieces that were weighed. Masses in grams."""

    region: str
    scheme: Scheme
    weighed: int
    lot: int
    declared_g: Decimal
    tolerance: WeightTolerance
    mean_g: Decimal
    deviation_g: Decimal
    """Standard deviation of the sample."""
    adjusted_g: Decimal
    """The average with the scheme's allowance for sampling."""
    short: int
    short_fails_at: int
    far_short: int

    @property
    def average_holds(self) -> bool:
        return self.adjusted_g >= self.declared_g

    @property
    def only_by_allowance(self) -> bool:
        """The plain average is under the declared weight; the allowance alone makes it hold."""
        return self.average_holds and self.mean_g < self.declared_g

    @property
    def leans_on_memory(self) -> bool:
        """Its scheme, or how far a piece may be short by it, is known from memory only."""
        sources = (self.scheme.provenance, self.scheme.sample_provenance, self.tolerance.provenance)
        return MEMORY in sources

    @property
    def leans_on_allowance(self) -> bool:
        """It holds by the allowance alone, and that is known from memory only."""
        return self.only_by_allowance and self.scheme.adjustment_provenance == MEMORY

    @property
    def short_holds(self) -> bool:
        return self.short < self.short_fails_at

    @property
    def far_holds(self) -> bool:
        return self.scheme.far_times is None or self.far_short < self.scheme.far_fails_at

    @property
    def holds(self) -> bool:
        return self.average_holds and self.short_holds and self.far_holds


def judge_lot(
    region: str, weights_g: Sequence[Decimal], declared_g: Decimal, lot: int
) -> LotVerdict:
    """Judges weighed pieces of a lot. At least one weight; InputError for an unknown region."""
    scheme = find_scheme(region)
    tolerance = find_weight_tolerance(region, declared_g)
    n, lot = len(weights_g), max(lot, len(weights_g))
    mean = sum(weights_g, Decimal(0)) / n
    deviation = compute_standard_deviation(weights_g)
    allowance = scheme.adjustment(n, lot) * deviation / Decimal(n).sqrt()
    floor_g = declared_g - tolerance.grams
    far_g = declared_g - tolerance.grams * (scheme.far_times or Decimal(0))
    return LotVerdict(
        region=region,
        scheme=scheme,
        weighed=n,
        lot=lot,
        declared_g=declared_g,
        tolerance=tolerance,
        mean_g=mean,
        deviation_g=deviation,
        adjusted_g=mean + allowance,
        short=sum(1 for w in weights_g if w < floor_g),
        short_fails_at=scheme.fails_at(n),
        far_short=sum(1 for w in weights_g if w < far_g) if scheme.far_times else 0,
    )


def compute_standard_deviation(values: Sequence[Decimal]) -> Decimal:
    """Of a sample (n - 1 in the divisor); zero for a single value."""
    n = len(values)
    if n < 2:
        return Decimal(0)
    mean = sum(values, Decimal(0)) / n
    return (sum(((v - mean) ** 2 for v in values), Decimal(0)) / (n - 1)).sqrt()


# -- reading the table -----------------------------------------------------------------------------


def _decimal_or_none(value: Any) -> Decimal | None:
    return None if value is None else Decimal(value)


def _parse_scheme(row: dict[str, Any]) -> Scheme:
    far = row.get("far_short", {})
    return Scheme(
        region=row["region"],
        title=row["title"],
        citation=row["citation"],
        provenance=row["provenance"],
        samples=tuple(
            SampleSize(
                s.get("upto"), _decimal_or_none(s.get("percent")), s.get("least", 0), s.get("count")
            )
            for s in row["sample"]
        ),
        sample_provenance=row.get("sample_provenance", row["provenance"]),
        shorts=tuple(ShortLimit(s.get("upto"), s["fails_at"]) for s in row.get("short", ())),
        short_percent=_decimal_or_none(row.get("short_percent")),
        far_times=_decimal_or_none(far.get("times")),
        far_fails_at=far.get("fails_at", 1),
        t={size: Decimal(t) for size, t in row.get("t", ())},
        adjustment_provenance=row.get("adjustment_provenance", row["provenance"]),
        bands=tuple(
            WeightBand(**{key: _decimal_or_none(value) for key, value in band.items()})
            for band in row.get("bands", ())
        ),
        bands_provenance=row.get("bands_provenance", row["provenance"]),
        round_up_g=_decimal_or_none(row.get("round_up_g")),
    )
