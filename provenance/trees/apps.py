from django.apps import AppConfig


class TreesConfig(AppConfig):
    name = "provenance.trees"
