"""Signing in and out, accounts and passwords."""

from axes.utils import reset
from django.contrib import messages
from django.contrib.auth import login, update_session_auth_hash
from django.contrib.auth.views import LoginView, LogoutView
from django.db import IntegrityError, transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from pathproof.web.access import from_this_machine
from pathproof.web.people.forms import (
    Account,
    FirstAccount,
    NewAccount,
    NewPassword,
    OwnPassword,
    SignInForm,
)
from pathproof.web.people.models import Person, Role
from pathproof.web.people.tries import too_many
from pathproof.web.saving import member

_BACKEND = "django.contrib.auth.backends.ModelBackend"


class SignIn(LoginView):
    """The form to sign in with; while nobody has an account it says where the first is made."""

    template_name = "people/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def post(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        """Looks at a password, unless too many were wrong."""
        if too_many(request, SignInForm.name_in(request.POST)):
            return render(request, "people/too_many.html", status=429)
        return super().post(request, *args, **kwargs)

    def get_context_data(self, **kwargs: object) -> dict[str, object]:
        """Whether there is anybody who could sign in, and whether this is the machine itself."""
        kwargs |= {"nobody": not Person.objects.exists(), "here": from_this_machine(self.request)}
        return super().get_context_data(**kwargs)


class SignOut(LogoutView):
    """Signs out, by POST."""


def first_account(request: HttpRequest) -> HttpResponse:
    """The first account, made at this machine while there is none."""
    form = FirstAccount(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        with transaction.atomic():
            Person.objects.hold()
            if Person.objects.exists():  # somebody was quicker
                return redirect("people:sign_in")
            person = Person.objects.create_user(
                given["username"], given["name"], Role.OFFICE, given["password"]
            )
        login(request, person, backend=_BACKEND)
        return redirect("listing:jobs")
    return render(request, "people/first_account.html", {"form": form}, status=_status(form))


def accounts(request: HttpRequest) -> HttpResponse:
    """Everybody with an account."""
    people = Person.objects.order_by("-is_active", "name")
    return render(request, "people/accounts.html", {"people": people})


def new_account(request: HttpRequest) -> HttpResponse:
    """A new account."""
    form = NewAccount(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            with transaction.atomic():
                person = Person.objects.create_user(
                    given["username"], given["name"], given["role"], given["password"]
                )
        except IntegrityError:  # the same form, sent twice in one breath
            form.add_error("username", form.taken())
        else:
            messages.success(request, f"{person.name} can sign in now.")
            return redirect("people:accounts")
    return render(request, "people/new_account.html", {"form": form}, status=_status(form))


def account(request: HttpRequest, person_id: int) -> HttpResponse:
    """One account: its name, role, and whether it may sign in."""
    with transaction.atomic():
        # All of them, so that no two changes can each count on the other's office account.
        locked = {p.pk: p for p in Person.objects.select_for_update().order_by("pk")}
        if person_id not in locked:
            raise Http404
        form = Account(request.POST or None, instance=locked[person_id])
        if request.method == "POST" and form.is_valid():
            person = form.save()
            messages.success(request, f"The account of {person.name} is changed.")
            return redirect("people:accounts")
    shown = Person.objects.get(pk=person_id)
    context = {"form": form, "person": shown}
    return render(request, "people/account.html", context, status=_status(form))


def set_password(request: HttpRequest, person_id: int) -> HttpResponse:
    """A new password for somebody who lost theirs; where they are signed in, that ends."""
    person = get_object_or_404(Person, pk=person_id)
    form = NewPassword(person, request.POST or None)
    if request.method == "POST" and form.is_valid():
        person.set_password(form.cleaned_data["password"])
        person.save(update_fields=["password"])
        reset(username=person.username)  # wrong tries were of the old one
        if person == member(request):
            update_session_auth_hash(request, person)
        messages.success(request, f"{person.name} signs in with the new password from now on.")
        return redirect("people:accounts")
    context = {"form": form, "person": person}
    return render(request, "people/set_password.html", context, status=_status(form))


def own_password(request: HttpRequest) -> HttpResponse:
    """A new password of one's own; on other devices one has to sign in again."""
    person = member(request)
    form = OwnPassword(person, request.POST or None, request=request)
    if request.method == "POST" and form.is_valid():
        person.set_password(form.cleaned_data["password"])
        person.save(update_fields=["password"])
        update_session_auth_hash(request, person)
        messages.success(request, "Your password is changed. Other devices sign in again.")
        return redirect("listing:jobs")
    return render(request, "people/own_password.html", {"form": form}, status=_status(form))


def _status(form: FirstAccount | NewAccount | Account | NewPassword) -> int:
    return 422 if form.is_bound else 200
