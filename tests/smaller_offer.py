"""Less of the sample's offer, where a test is not about how much there is to choose from.

What each choice truly costs is worked out for every price, size and wrap, and every design is set
on every size.
"""

from __future__ import annotations

ONE_DESIGN = ('["lantern", "hedgerow", "meadow"]', '["lantern"]')
ONE_SIZE = (
    """[[offer.size]]
id = "large"
net_weight = "60 g"
package_face = "70 x 55 mm"
trim = "56 x 40 mm"
shape = "rounded"
corner = "2 mm"
pieces_per_bar = 2
adds = 1.40

""",
    "",
)
ONE_WRAP = (
    """[[offer.wrap]]
id = "band"
name = { en = "A paper band", fr = "Une bande de papier" }
kind = "band"
thick = "25 mm"
sheet = "500 x 700 mm"
price = 0.90

""",
    "",
)
THE_DEAREST = (
    """[[offer.price]]
from = 80
price = 6.50

[[offer.price]]
from = 150
price = 5.75

""",
    "",
)
"""Only the price of the fewest pieces."""
SMALLEST = (ONE_DESIGN, ONE_SIZE, ONE_WRAP, THE_DEAREST)
