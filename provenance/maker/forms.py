"""What the owner types about the shop and about themselves."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.core.exceptions import ValidationError

from provenance.maker import currencies, time_zones
from provenance.maker.models import Shop, User
from provenance.maker.origin import NotAnOrigin, parse_origin

CHOOSE = ("", "Choose…")
CHOOSE_WELL = "At least 10 characters. Nobody can read it back to you: keep it somewhere safe."


class CurrencyField(forms.ChoiceField):
    """A currency of ISO 4217; nothing is chosen until the owner chooses."""

    def __init__(self, **options: Any) -> None:
        super().__init__(choices=lambda: [CHOOSE, *currencies.named()], **options)


class TimeZoneField(forms.ChoiceField):
    """A place of the IANA database, by region; nothing is guessed from machine or browser."""

    def __init__(self, **options: Any) -> None:
        super().__init__(choices=lambda: [CHOOSE, *time_zones.by_region()], **options)


class SignInForm(AuthenticationForm):
    """Name and password."""

    error_messages = {
        "invalid_login": "Name and password do not belong together. Capitals matter in both.",
        "inactive": "This account is closed.",
    }

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["username"].label = "Name"


class NewPasswordForm(PasswordChangeForm):
    """The password as it is, and the new one twice."""

    error_messages = {
        "password_mismatch": "The two new passwords differ: type the same one twice.",
        "password_incorrect": "This is not your password as it is now.",
    }

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["old_password"].label = "Password as it is"
        self.fields["new_password1"].help_text = CHOOSE_WELL
        self.fields["new_password2"].label = "New password once more"
        self.fields["new_password2"].help_text = ""


class SetUpForm(forms.ModelForm):
    """The shop and its first owner."""

    username = forms.CharField(
        label="Your name for signing in",
        max_length=150,
        validators=[UnicodeUsernameValidator()],
        help_text="One word: letters, digits and @ . + - _ only.",
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    password = forms.CharField(
        strip=False,
        help_text=CHOOSE_WELL,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    password_again = forms.CharField(
        label="Password once more",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    currency = CurrencyField()
    time_zone = TimeZoneField(label="Time zone")
    length_unit = forms.ChoiceField(
        label="Lengths in", choices=Shop.LengthUnit.choices, widget=forms.RadioSelect
    )
    paper = forms.ChoiceField(
        label="Paper in the printer", choices=Shop.Paper.choices, widget=forms.RadioSelect
    )

    class Meta:
        model = Shop
        fields = ["name", "currency", "length_unit", "paper", "time_zone"]
        labels = {"name": "Name of the shop"}

    def clean(self) -> dict[str, Any]:
        """Check the two passwords against each other and against the rules."""
        typed = super().clean() or {}
        password = typed.get("password")
        if password and password != typed.get("password_again"):
            self.add_error("password_again", "The two passwords differ: type the same one twice.")
        elif password:
            try:
                validate_password(password, User(username=typed.get("username", "")))
            except ValidationError as error:
                self.add_error("password", error)
        return typed

    def profile(self) -> dict[str, str]:
        """Return what goes into the shop's row."""
        return {field: self.cleaned_data[field] for field in self.Meta.fields}


class ProfileForm(forms.ModelForm):
    """The shop as its papers and pages show it."""

    currency = CurrencyField(
        help_text="Prices already written keep their figures, and receipts their own currency."
    )
    time_zone = TimeZoneField(label="Time zone")

    class Meta:
        model = Shop
        fields = [
            "name",
            "place",
            "public_words",
            "public_contact",
            "public_url",
            "currency",
            "length_unit",
            "mass_unit",
            "paper",
            "time_zone",
        ]
        labels = {
            "name": "Name of the shop",
            "public_words": "Words about the shop, for everybody",
            "public_contact": "How a stranger may reach you",
            "public_url": "Public address",
            "length_unit": "Lengths in",
            "mass_unit": "Masses in",
            "paper": "Paper in the printer",
        }
        help_texts = {
            "place": "As you want it printed: a town, a valley, a county.",
            "public_contact": "Shown on public pages: a mail address, a phone number, or nothing.",
            "public_url": (
                "Where the code on a card leads, such as https://bowls.example.org. "
                "It is printed once and must answer for decades."
            ),
        }
        widgets = {
            "public_words": forms.Textarea(attrs={"rows": 4}),
            "public_url": forms.TextInput(attrs={"inputmode": "url", "autocapitalize": "none"}),
            "length_unit": forms.RadioSelect,
            "paper": forms.RadioSelect,
        }

    def clean_public_url(self) -> str:
        """Return the origin typed, or refuse it with a sentence."""
        try:
            return parse_origin(self.cleaned_data["public_url"])
        except NotAnOrigin as error:
            raise ValidationError(str(error)) from error
