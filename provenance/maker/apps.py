from django.apps import AppConfig


class MakerConfig(AppConfig):
    name = "provenance.maker"
