"""One answer passes few modules; the list of them stands in docs/design.md."""

from tests.passage import passed


def test_few_modules_have_an_answer_in_their_hands() -> None:
    holding, called = passed()
    assert len(holding) < 25, holding
    ends = {"hearing/listener", "session/step", "planning/rules/sore", "journal/store"}
    assert ends < set(holding), "it comes from the ear, changes the plan and is kept"
    assert set(holding) < set(called)
