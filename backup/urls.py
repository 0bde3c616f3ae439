"""URLs of the page on backups."""

from django.urls import URLPattern, path

from backup.views.backups import backup_now, backup_page, backup_save, take_away

urlpatterns: list[URLPattern] = [
    path("firm/backups/", backup_page, name="backups"),
    path("firm/backups/now/", backup_now, name="backup-now"),
    path("firm/backups/save/", backup_save, name="backup-save"),
    path("firm/backups/everything/", take_away, name="take-away"),
]
