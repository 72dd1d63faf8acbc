"""Devices that go and come: keys carry on, and it is told once."""

from dataclasses import replace

from coach.model.messages import message
from coach.session.draft import Draft
from coach.session.events import COMING, JOURNAL, QUIET, UNWANTED, DeviceLost, DeviceReturned

#: Devices that go or come within so many seconds are told of as one.
TOGETHER = 3.0


def lost(draft: Draft, event: DeviceLost) -> None:
    """Keys carry on; it is told once."""
    if event.device == JOURNAL:
        _saves(draft, draft.devices.lost | {JOURNAL}, "not-saving")
    elif event.device == QUIET:
        _saves(draft, draft.devices.lost | {QUIET}, "too-loud")
    elif event.device not in draft.devices.lost:
        draft.devices = replace(
            draft.devices, lost=draft.devices.lost | {event.device}, allowed=False
        )
        if event.why == UNWANTED:
            draft.devices = replace(draft.devices, by_keys=True)
        elif event.why != COMING:
            _tell_of(draft, "device-lost", event.device)


def returned(draft: Draft, event: DeviceReturned) -> None:
    """It is back by itself; of an ear that was COMING nothing was told."""
    if event.device == JOURNAL:
        _saves(draft, draft.devices.lost - {JOURNAL}, "saving-again")
    elif event.device in draft.devices.lost:
        draft.devices = replace(
            draft.devices, lost=draft.devices.lost - {event.device}, by_keys=False
        )
        if event.device != "ear":
            _tell_of(draft, "device-back", event.device)


def _saves(draft: Draft, lost: frozenset[str], what: str) -> None:
    """Whether the record can be written: nobody is told twice, and nothing waits for it."""
    if lost != draft.devices.lost:
        draft.devices = replace(draft.devices, lost=lost)
        draft.tell(message(what))


def _tell_of(draft: Draft, what: str, device: str) -> None:
    """Both parts of a headset go and come together: the first is told for both."""
    before, at = draft.devices.told_of
    draft.devices = replace(draft.devices, told_of=(what, draft.now))
    if before != what or draft.now - at > TOGETHER:
        draft.tell(message(what, device=device))
