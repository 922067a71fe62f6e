"""What is typed into a note has a bound, in every form of rows that bear notes."""

import pytest
from django.core.exceptions import ValidationError

from inventory.holdings.forms.loans import BorrowForm, LoanForm
from inventory.house.form_fields import LONGEST_TEXT
from inventory.restoration.forms import PlanForm


@pytest.mark.parametrize(
    ("form", "names"),
    [
        (BorrowForm, ["condition", "note"]),
        (LoanForm, ["condition", "condition_back", "note"]),
        (PlanForm, ["note", "state_found", "left_doubtful"]),
    ],
)
def test_a_note_has_a_bound(form, names):
    for name in names:
        field = form().fields[name]
        assert field.clean("x" * LONGEST_TEXT) == "x" * LONGEST_TEXT
        with pytest.raises(ValidationError, match="at most 20000 fit"):
            field.clean("x" * (LONGEST_TEXT + 1))
