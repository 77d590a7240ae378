"""Routes of the pages of `office`."""

from django.urls import URLPattern, URLResolver, path

from office.views import job, package_files, paper_files, people, progress, start

JOB = "jobs/<str:code>/"

urlpatterns: list[URLPattern | URLResolver] = [
    path("", start.start, name="start"),
    path(JOB, job.show_job, name="job"),
    path(f"{JOB}progress/", progress.show_progress, name="progress"),
    path(f"{JOB}people/", people.show_people, name="people"),
    path(f"{JOB}papers/weld-map/<uuid:line>.pdf", paper_files.send_weld_map, name="weld-map-pdf"),
    path(f"{JOB}papers/weld-log.pdf", paper_files.send_weld_log, name="weld-log-pdf"),
    path(f"{JOB}papers/findings.pdf", paper_files.send_findings, name="findings-pdf"),
    path(f"{JOB}packages/<uuid:package>/package.pdf", package_files.send_package, name="package-file"),
    path(f"{JOB}packages/<uuid:package>/manifest.txt", package_files.send_manifest, name="package-manifest"),
]
