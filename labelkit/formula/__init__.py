"""From a recipe to the ordered ingredient declaration."""

from labelkit.formula.batch import Batch, compute_batch
from labelkit.formula.declaring import declare_ingredients
from labelkit.formula.materials import load_materials
from labelkit.formula.policy import Policy
from labelkit.formula.safety import LYE_CAUTIONS

__all__ = [
    "LYE_CAUTIONS",
    "Batch",
    "Policy",
    "compute_batch",
    "declare_ingredients",
    "load_materials",
]
