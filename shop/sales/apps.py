from django.apps import AppConfig


class SalesConfig(AppConfig):
    name = "shop.sales"
