from django.apps import AppConfig


class CommissionsConfig(AppConfig):
    name = "shop.commissions"
