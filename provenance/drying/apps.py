from django.apps import AppConfig


class DryingConfig(AppConfig):
    name = "provenance.drying"
