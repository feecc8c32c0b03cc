"""Forms of a communicator's numbers, and of how far its card and account have come."""

from collections.abc import Sequence
from datetime import date, datetime, time
from typing import Any

from django import forms

from pathproof.job import Communicator, Network
from pathproof.job.identifiers import as_printed, check_card_number, check_number
from pathproof.job.site import Sim
from pathproof.terms import AccountState, JobError, SimKind
from pathproof.web.templatetags.words import word

_LONGEST = 200
_CARDS = {
    SimKind.FIXED: "one network",
    SimKind.ROAMING: "several networks, the module chooses",
    SimKind.STEERED: "several networks, the card's issuer prefers one",
}


class IdentifierForm(forms.Form):
    """Numbers of module, card and account, as printed."""

    imei = forms.CharField(
        label="IMEI of the module",
        required=False,
        max_length=_LONGEST,
        help_text="15 digits on the module's label; blanks and dashes may stay in.",
    )
    kind = forms.ChoiceField(
        label="Card (SIM)",
        required=False,
        choices=[("", "no card yet"), *((str(k), text) for k, text in _CARDS.items())],
    )
    iccid = forms.CharField(
        label="Card number (ICCID)",
        required=False,
        max_length=_LONGEST,
        help_text="18 to 20 digits on the card; blanks and dashes may stay in.",
    )
    printed_so = forms.BooleanField(
        label="The card number is printed just so, although its check digit differs",
        required=False,
    )
    networks = forms.MultipleChoiceField(
        label="Networks that the card may use",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: any network of the site.",
    )
    account = forms.CharField(
        label="Account at the centre",
        required=False,
        max_length=_LONGEST,
        help_text="3 to 16 digits 0 to 9 and A to F.",
    )
    centre = forms.CharField(
        label="Monitoring centre",
        required=False,
        max_length=_LONGEST,
        help_text="What people call it.",
    )

    def __init__(self, communicator: Communicator, networks: Sequence[Network], data: Any) -> None:
        sim = communicator.sim
        super().__init__(
            data,
            prefix=communicator.id,
            initial={
                "imei": communicator.imei or "",
                "kind": "" if sim is None else str(sim.kind),
                "iccid": (sim and sim.iccid) or "",
                "networks": [] if sim is None else sim.networks,
                "account": communicator.account or "",
                "centre": communicator.centre,
            },
        )
        chosen: forms.MultipleChoiceField = self.fields["networks"]  # type: ignore[assignment]
        chosen.choices = [
            (n.mcc_mnc, n.label if n.label == n.mcc_mnc else f"{n.label} ({n.mcc_mnc})")
            for n in _preferred_first(networks, sim)
        ]
        if not networks:
            del self.fields["networks"]
        for name in ("imei", "iccid", "account"):
            self.fields[name].widget.attrs |= {"autocomplete": "off", "spellcheck": "false"}

    def clean_imei(self) -> str:
        """The digits alone."""
        return self._number("imei")

    def clean_account(self) -> str:
        """The digits alone."""
        return self._number("account")

    def clean(self) -> dict[str, Any]:
        """All of it; the card number is checked when it is known how it is printed."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        typed.setdefault("networks", [])
        iccid = as_printed(typed.get("iccid", ""))
        typed["iccid"] = iccid
        if iccid:
            try:
                check_card_number(iccid, as_read_twice=bool(typed.get("printed_so")))
            except JobError as error:
                self.add_error("iccid", str(error))
        return typed

    def _number(self, name: str) -> str:
        number = as_printed(str(self.cleaned_data[name]))
        if number:
            try:
                check_number(name, number)
            except JobError as error:
                raise forms.ValidationError(str(error)) from error
        return number


class StateForm(forms.Form):
    """A state that card and account have reached, and the day."""

    state = forms.ChoiceField(
        label="They are now", choices=[(str(s), word(s)) for s in AccountState]
    )
    day = forms.DateField(
        label="Since",
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        error_messages={
            "invalid": "This is no day; give it as 2026-11-25.",
            "required": "Give the day on which it was reached, such as 2026-11-25.",
        },
    )
    text = forms.CharField(
        label="How that is known",
        required=False,
        max_length=_LONGEST,
        help_text="Such as who at the centre said so.",
    )

    def __init__(
        self, communicator: Communicator, now: datetime, data: Any, *, begun: bool = True
    ) -> None:
        self._now = now
        proposed = _then(communicator.state) if begun else AccountState.ORDERED
        super().__init__(
            data,
            prefix=f"{communicator.id}-state",
            initial={"state": proposed, "day": now.date()},
        )

    def clean_day(self) -> datetime:
        """A moment of that day: the present one of today, noon of an earlier one."""
        day: date = self.cleaned_data["day"]
        if day > self._now.date():
            raise forms.ValidationError(
                f"{day} is still to come, and the record holds what happened. Give the day on "
                "which it was reached, today at the latest."
            )
        if day == self._now.date():
            return self._now
        return datetime.combine(day, time(12), tzinfo=self._now.tzinfo)


def _preferred_first(networks: Sequence[Network], sim: Sim | None) -> list[Network]:
    """In the order of the card, which boxes that are ticked keep."""
    order = [] if sim is None else sim.networks
    return sorted(
        networks, key=lambda n: order.index(n.mcc_mnc) if n.mcc_mnc in order else len(order)
    )


def _then(state: AccountState) -> AccountState:
    """The state that comes next; live ones stay so until somebody says otherwise."""
    states = list(AccountState)
    if state in (AccountState.LIVE, AccountState.ENDED):
        return state
    return states[states.index(state) + 1]
