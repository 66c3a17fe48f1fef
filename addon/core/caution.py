"""What the results are for, and what they are not."""

CAUTION = (
    "For early design only: approval of stability and of the number of people carried "
    "belongs to the local rules and to a licensed professional."
)
UNCHECKED = "No stability criteria were checked."
