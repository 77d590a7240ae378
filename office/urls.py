"""Routes of the pages of `office`."""

from django.urls import URLPattern, URLResolver, path

from office.api.compute import ComputeView
from office.views import (
    calculators,
    exports,
    imports,
    job,
    job_settings,
    line,
    own_names,
    packages,
    papers,
    people,
    person,
    progress,
    start,
)

JOB = "jobs/<str:code>/"

urlpatterns: list[URLPattern | URLResolver] = [
    path("", start.start, name="start"),
    path("api/compute/<str:name>/", ComputeView.as_view(), name="compute-api"),
    path("calculators/", calculators.show_calculators, name="calculators"),
    path("calculators/<str:name>.pdf", calculators.send_calculation, name="calculation-pdf"),
    path("calculators/<str:name>/", calculators.show_calculator, name="calculator"),
    path(JOB, job.show_job, name="job"),
    path(f"{JOB}progress/", progress.show_progress, name="progress"),
    path(f"{JOB}lines/<uuid:line>/", line.show_line, name="line"),
    path(f"{JOB}settings/", job_settings.show_settings, name="job-settings"),
    path(f"{JOB}people/", people.show_people, name="people"),
    path(f"{JOB}people/add/", people.add, name="person-add"),
    path(f"{JOB}people/<str:person>/", person.show_person, name="person"),
    path(f"{JOB}papers/", papers.show_papers, name="papers"),
    path(f"{JOB}papers/lines.xlsx", papers.send_lines, {"form": "xlsx"}, name="lines-xlsx"),
    path(f"{JOB}papers/lines.csv", papers.send_lines, {"form": "csv"}, name="lines-csv"),
    path(f"{JOB}papers/weld-map/<uuid:line>.pdf", papers.send_weld_map, name="weld-map-pdf"),
    path(f"{JOB}papers/weld-log.pdf", papers.send_weld_log, name="weld-log-pdf"),
    path(f"{JOB}papers/findings.pdf", papers.send_findings, name="findings-pdf"),
    path(f"{JOB}papers/template.xlsx", exports.send_template, name="template-xlsx"),
    path(f"{JOB}export/", exports.show_export, name="export"),
    path(f"{JOB}export/workbook.xlsx", exports.send_export, name="export-xlsx"),
    path(f"{JOB}export/<uuid:export>/", exports.show_export_work, name="export-work"),
    path(f"{JOB}export/<uuid:export>/workbook.xlsx", exports.send_export_file, name="export-file"),
    path(f"{JOB}imports/", imports.show_imports, name="imports"),
    path(f"{JOB}imports/<uuid:imported>/", imports.show_import, name="import"),
    path(f"{JOB}imports/<uuid:imported>/remarks/", imports.send_remarks, name="import-remarks"),
    path(f"{JOB}imports/<uuid:imported>/names/", own_names.show_names, name="import-names"),
    path(f"{JOB}packages/", packages.show_packages, name="packages"),
    path(f"{JOB}packages/work/<uuid:work>/", packages.show_work, name="package-work"),
    path(f"{JOB}packages/<uuid:package>/package.pdf", packages.send_package, name="package-file"),
    path(f"{JOB}packages/<uuid:package>/manifest.txt", packages.send_manifest, name="package-manifest"),
]
