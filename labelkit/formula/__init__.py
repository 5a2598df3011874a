"""From a recipe to the ordered ingredient declaration."""

from labelkit.formula.batch import Batch, batch_of
from labelkit.formula.declaring import declare
from labelkit.formula.materials import materials
from labelkit.formula.policy import Policy, policy_for
from labelkit.formula.safety import LYE_CAUTIONS

__all__ = ["LYE_CAUTIONS", "Batch", "Policy", "batch_of", "declare", "materials", "policy_for"]
