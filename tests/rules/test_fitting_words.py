"""What fittings are called."""

from rules.cut_length import ENDS
from rules.fitting_words import fitting_called
from rules.route.bill import called
from tests.rules.route.test_edges_by_hand import part


def test_no_fitting_that_a_table_knows_is_told_by_its_code() -> None:
    assert not [one for one in map(fitting_called, ENDS) if "-" in one]
    assert fitting_called("elbow-90") == "90° elbow"
    assert fitting_called("flange-150") == "Class 150 flange"


def test_what_somebody_wrote_stands_as_it_was_written() -> None:
    assert fitting_called("elbow LR 90") == "elbow LR 90"


def test_a_socket_welding_elbow_has_no_long_radius_on_the_bill() -> None:
    # ASME B16.11 gives a socket-welding elbow its centre to bottom of socket; long and short radius are of ASME B16.9.
    assert called(part("elbow-90", pressure_class="3000")) == "elbow 90°"
    assert called(part("elbow-90")) == "elbow 90°, long radius"
