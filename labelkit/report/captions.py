"""The words of a proof, in the customer's language."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from labelkit.common.frozen import dataclass
from labelkit.compose import FitWords
from labelkit.formula.declaration import Basis, Style
from labelkit.model.runs import ELEMENTS


@dataclass(frozen=True)
class Captions:
    """Every caption in one language. ``locale`` writes its dates and numbers."""

    language: str
    locale: str
    proof: str
    makers_part: str
    """Title of the part that stays in the workshop."""
    order_code: str
    actual_size: str
    times: str
    """How many times a panel is enlarged."""
    enlarged: str
    """The same where the safe area is shown."""
    looks: str
    """Title of the drawings of the wrapped piece."""
    looks_told: str
    """What they are: scale, the piece's measures, its wrap, and how far the cut may stray."""
    looks_scale: str
    """Said where they are not at actual size."""
    looks_printed: str
    """Said where they are on a screen, and true on paper."""
    looks_wraps: Mapping[str, str]
    """What the piece is wrapped in: "film", "paper"."""
    banded: str
    """A side of the piece with the band around it."""
    folds: str
    """Of a piece that is folded along the broken lines."""
    please_check: str
    approve_by_code: str
    approved_by: str
    signature: str
    signed_on: str
    printed: str
    least: str
    letters: Mapping[str, str]
    """The letters that are measured: "capital", "o", "figure"."""
    letter_heights: str
    height_columns: tuple[str, str, str, str, str]
    fitting: str
    fit: FitWords
    ingredient_order: str
    guest_names: str
    unwritten_names: str
    shown_guests: str
    same_guest: str
    """Instead, where the first guest's name is the one that is fitted hardest."""
    counted: Mapping[str, tuple[str, str]]
    """Labels, guests and spares: of one, and of several."""
    singular: tuple[int, ...]
    """The numbers that are of one (CLDR)."""
    preflight: str
    not_legal_advice: str
    verdict: Mapping[str, str]
    style: Mapping[Style, str]
    basis: Mapping[Basis, str]
    panels: Mapping[str, str]
    elements: Mapping[str, str]

    def count(self, what: str, number: int) -> str:
        """A number of labels, guests or spares."""
        one, several = self.counted[what]
        return f"{number} {one if number in self.singular else several}"

    def suit(self, occasion: str) -> Captions:
        """The same where who is counted are no guests."""
        people = _OTHER_PEOPLE[self.language].get(occasion)
        if people is None:
            return self
        return replace(self, counted={**self.counted, "guests": people})

    def panel(self, name: str) -> str:
        return self.panels.get(name, name)

    def element(self, name: str) -> str:
        return self.elements.get(name, ELEMENTS.get(name, name))


_OTHER_PEOPLE: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "en": {
        "memorial": ("person", "people"),
        "display": ("piece to show", "pieces to show"),
    },
    "fr": {
        "memorial": ("personne", "personnes"),
        "display": ("savonnette à exposer", "savonnettes à exposer"),
    },
}


_EN = Captions(
    language="en",
    locale="en_CA",
    proof="Proof",
    makers_part="Proof, for the workshop",
    order_code="Order",
    actual_size="actual size",
    times="enlarged {times} times",
    enlarged="enlarged {times} times; the broken line is the safe area",
    looks="As it will look",
    looks_told=(
        "Drawn from its measures, not photographed: {scale}; the piece is {width} × {height} ×"
        " {thick}\u00a0mm, in {wrap}. The broken lines show how far cut and place may stray:"
        " {drift}\u00a0mm."
        " Colours are an impression."
    ),
    looks_scale="at {percent} % of its size",
    looks_printed="at actual size where it is printed at 100 %",
    looks_wraps={"film": "clear film", "paper": "its paper"},
    banded="{side}, with its band",
    folds="{panel}, {size}; it is folded along the broken lines",
    please_check=(
        "Please check every name, date and accent. What is signed here is what will be printed."
    ),
    approve_by_code=(
        "By telephone or e-mail: “I approve {code}.” If a word, a name, a colour or a size changes,"
        " so does this code."
    ),
    approved_by="Approved by",
    signature="Signature",
    signed_on="Date",
    printed="prints",
    least="law’s least",
    letters={"capital": "capitals", "o": "small o", "figure": "figures"},
    letter_heights="Printed letter heights",
    height_columns=("", "capital", "small o", "figure", "law’s least"),
    fitting="How it was fitted",
    fit=FitWords(),
    ingredient_order="Order of the ingredients",
    guest_names="Names to check",
    unwritten_names="Labels left without a name, to be written by hand",
    shown_guests=(
        "Actual size shows the first name, {first}; enlarged, the tightest of {count} names,"
        " {tightest}."
    ),
    same_guest="Shown is the first name, {first}, the tightest of {count} names.",
    counted={
        "labels": ("label", "labels"),
        "guests": ("guest", "guests"),
        "spares": ("spare", "spares"),
    },
    singular=(1,),
    preflight="Preflight",
    not_legal_advice=(
        "A check against the rules named, not legal advice: the text of the law and your authority"
        " decide."
    ),
    verdict={"pass": "passes", "fail": "does not pass"},
    style={Style.FORMED: "as formed", Style.ADDED: "as added"},
    basis={
        Basis.CURED: "by weight of the cured bar",
        Basis.POURED: "by weight of the poured batch",
    },
    panels={
        "front": "Front",
        "back": "Back",
        "tag": "Tag",
        "card": "Card",
        "leaflet": "Leaflet",
        "notice": "Notice",
        "band": "Band",
        "hang-tag": "Hang tag",
        "thank-you-card": "Card",
        "place-card": "Place card",
        "box-lid": "Box lid",
    },
    elements={
        "identity": "what it is",
        "net-quantity": "net weight",
        "ingredients": "ingredients",
        "ingredients-heading": "heading of the list",
        "dealer": "name and address",
        "contact": "contact",
        "lot": "lot",
        "origin": "origin",
        "directions": "directions",
        "list-elsewhere": "where the list is",
        "durability": "durability",
        "e-mark": "estimated sign",
        "claim": "other words",
        "separator": "separator",
        "draft-mark": "draft mark",
        "names": "names",
        "initials": "initials",
        "numerals": "date in figures",
        "date": "date",
        "place": "place",
        "scent": "scent",
        "thanks": "greeting",
        "guest": "guest",
        "brand": "maker",
    },
)

_FR = Captions(
    language="fr",
    locale="fr_CA",
    proof="Épreuve",
    makers_part="Épreuve, pour l’atelier",
    order_code="Commande",
    actual_size="grandeur réelle",
    times="agrandi {times} fois",
    enlarged="agrandi {times} fois\u202f; le tireté marque la zone sûre",
    looks="Tel qu’il sera",
    looks_told=(
        "Dessiné d’après les mesures, et non photographié\u202f: {scale}\u202f; la pièce mesure"
        " {width} × {height} × {thick}\u00a0mm, sous {wrap}. Les tiretés montrent de combien coupe"
        " et pose peuvent s’écarter, {drift}\u00a0mm. Les couleurs sont indicatives."
    ),
    looks_scale="à {percent}\u00a0% de sa grandeur",
    looks_printed="en grandeur réelle si la page est imprimée à 100\u00a0%",
    looks_wraps={"film": "film transparent", "paper": "papier"},
    banded="{side}, avec sa bande",
    folds="{panel}, {size}\u202f; à plier le long des tiretés",
    please_check=(
        "Veuillez vérifier chaque nom, date et accent. Ce qui est signé ici est ce qui sera"
        " imprimé."
    ),
    approve_by_code=(
        "Par téléphone ou par courriel\u202f: «\u202fJ’approuve {code}.\u202f» Si un mot, un nom,"
        " une couleur ou un format change, ce code change aussi."
    ),
    approved_by="Approuvé par",
    signature="Signature",
    signed_on="Date",
    printed="imprimé",
    least="minimum légal",
    letters={"capital": "capitales", "o": "petit o", "figure": "chiffres"},
    letter_heights="Hauteur imprimée des lettres",
    height_columns=("", "capitale", "petit o", "chiffre", "minimum légal"),
    fitting="Choix de composition",
    fit=FitWords(
        capitals="en capitales",
        small_capitals="en petites capitales",
        narrow="chasse {width}\u00a0%",
        closer="resserré de {amount}\u00a0em",
        least="le minimum légal",
        gaps="blancs à {share}\u00a0%",
        left_out="faute de place, sans {names}",
    ),
    ingredient_order="Ordre des ingrédients",
    guest_names="Noms à vérifier",
    unwritten_names="Étiquettes sans nom, à écrire à la main",
    shown_guests=(
        "Grandeur réelle\u202f: le premier nom, {first}\u202f; agrandi\u202f: le plus serré des"
        " {count} noms, {tightest}."
    ),
    same_guest="Le nom montré, {first}, premier de la liste, est le plus serré des {count} noms.",
    counted={
        "labels": ("étiquette", "étiquettes"),
        "guests": ("invité", "invités"),
        "spares": ("en réserve", "en réserve"),
    },
    singular=(0, 1),
    preflight="Contrôle avant impression",
    not_legal_advice=(
        "Vérification selon les règles citées, et non un avis juridique\u202f: le texte de la loi"
        " et l’autorité compétente font foi."
    ),
    verdict={"pass": "conforme", "fail": "non conforme"},
    style={Style.FORMED: "substances formées", Style.ADDED: "substances ajoutées"},
    basis={
        Basis.CURED: "en poids du savon après cure",
        Basis.POURED: "en poids de la pâte coulée",
    },
    panels={
        "front": "Devant",
        "back": "Dos",
        "tag": "Étiquette volante",
        "card": "Carte",
        "leaflet": "Dépliant",
        "notice": "Affichette",
        "band": "Bande",
        "hang-tag": "Étiquette à suspendre",
        "thank-you-card": "Carte",
        "place-card": "Marque-place",
        "box-lid": "Couvercle de boîte",
    },
    elements={
        "identity": "dénomination",
        "net-quantity": "quantité nette",
        "ingredients": "ingrédients",
        "ingredients-heading": "titre de la liste",
        "dealer": "nom et adresse",
        "contact": "coordonnées",
        "lot": "lot",
        "origin": "origine",
        "directions": "mode d’emploi",
        "list-elsewhere": "renvoi à la liste",
        "durability": "durabilité",
        "e-mark": "signe ℮",
        "claim": "autre texte",
        "separator": "séparateur",
        "draft-mark": "marque d’ébauche",
        "names": "noms",
        "initials": "initiales",
        "numerals": "date en chiffres",
        "date": "date",
        "place": "lieu",
        "scent": "parfum",
        "thanks": "remerciement",
        "guest": "invité",
        "brand": "fabricant",
    },
)

LANGUAGES: dict[str, Captions] = {"en": _EN, "fr": _FR}
"""The languages a proof can be made in."""
