"""The samples are right plans: what is drawn of them could be cut so."""

import pytest

from cutopt.check import check_plan
from tests.reports.samples import NAMES, sample


@pytest.mark.parametrize("name", NAMES)
def test_sample_passes_the_check(name: str) -> None:
    assert check_plan(*sample(name)) == ()
