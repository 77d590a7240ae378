"""Routes of the pages of `inspection`."""

from django.urls import URLPattern, URLResolver, path

from inspection.views import decide_repair, findings, override, record_examination, release

JOB = "jobs/<str:code>/"
JOINT = f"{JOB}joints/<uuid:joint>/"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{JOB}findings/", findings.show_findings, name="findings"),
    path(f"{JOINT}examination/<str:method>/", record_examination.record_examination, name="examination-record"),
    path(f"{JOINT}repair/", decide_repair.decide_repair, name="repair-decide"),
    path(f"{JOINT}release/", release.release, name="joint-release"),
    path(f"{JOINT}override/", override.override, name="finding-override"),
]
