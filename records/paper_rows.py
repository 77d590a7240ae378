"""Rows of a job's papers made into the plain facts that the rules judge; no query."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from records.models import ExamRule, Heat, HoldPoint, OwnerLimit, Procedure, ProcedurePass, Qualification
from rules.facts import (
    ExamRuleFacts,
    HeatFacts,
    PointFacts,
    ProcedureFacts,
    ProcedurePassFacts,
    QualificationFacts,
    SpecificationFacts,
)
from rules.nps import is_within_sizes

OF_HEAT = ("number", "material", "analysis", "tensile_mpa", "yield_mpa", "elongation_percent", "hardness")


def specification_facts(row: OwnerLimit) -> SpecificationFacts:
    """Turn a stored limit of the owner into facts."""
    return SpecificationFacts(
        row.limit, row.value, row.specification, row.clause, row.mode, row.joint_kind, row.service
    )


def procedure_pass_facts(row: ProcedurePass) -> ProcedurePassFacts:
    """Turn a stored procedure pass into facts."""
    return ProcedurePassFacts(
        role=row.role,
        process=row.process,
        filler=row.filler,
        filler_diameter_mm=row.filler_diameter_mm,
        f_number=row.f_number,
        polarity=row.polarity,
        shielding_gas=row.shielding_gas,
        amps_min=row.amps_min,
        amps_max=row.amps_max,
        volts_min=row.volts_min,
        volts_max=row.volts_max,
        travel_min=row.travel_min_mm_min,
        travel_max=row.travel_max_mm_min,
    )


def procedure_facts(row: Procedure, passes: Sequence[ProcedurePassFacts]) -> ProcedureFacts:
    """Turn a stored procedure into facts."""
    return ProcedureFacts(
        number=row.number,
        revision=row.revision,
        p_numbers=tuple(row.p_numbers),
        p_numbers_b=tuple(row.p_numbers_b),
        processes=tuple(row.processes),
        passes=tuple(passes),
        joint_kinds=tuple(row.joint_kinds),
        thickness_min_mm=row.thickness_min_mm,
        thickness_max_mm=row.thickness_max_mm,
        deposit_max_mm=row.deposit_max_mm,
        outside_diameter_min_mm=row.outside_diameter_min_mm,
        positions=tuple(row.positions),
        progression=row.progression,
        backing=row.backing,
        preheat_min_c=row.preheat_min_c,
        interpass_max_c=row.interpass_max_c,
        heat_input_max_kj_mm=row.heat_input_max_kj_mm,
        gap_min_mm=row.gap_min_mm,
        gap_max_mm=row.gap_max_mm,
        squareness_max_mm=row.squareness_max_mm,
        high_low_max_mm=row.high_low_max_mm,
        passes_min=row.passes_min,
        stop_spacing_min_degrees=row.stop_spacing_min_degrees,
        pwht=row.pwht,
    )


def heat_facts(row: Heat) -> HeatFacts:
    """Turn a stored heat into facts."""
    certificate = row.certificate.number if row.certificate else ""
    return heat_of(certificate, row.elements, [getattr(row, name) for name in OF_HEAT])


def heat_of(certificate: str, elements: Mapping[str, str], row: Sequence[Any]) -> HeatFacts:
    """Turn the columns OF_HEAT of a heat into facts, with the number of its certificate and its analysis."""
    number, material, analysis, tensile_mpa, yield_mpa, elongation_percent, hardness = row
    return HeatFacts(
        number=number,
        material=material,
        certificate=certificate,
        analysis=analysis,
        elements={symbol: Decimal(percent) for symbol, percent in elements.items()},
        tensile_mpa=tensile_mpa,
        yield_mpa=yield_mpa,
        elongation_percent=elongation_percent,
        hardness=hardness,
    )


def exam_rule_facts(row: ExamRule) -> ExamRuleFacts:
    """Turn a stored exam rule into facts."""
    parts = (row.lot_basis.strip(), f"at most {row.lot_size} welds" if row.lot_size else "")
    lot = ", ".join(filter(None, parts))
    return ExamRuleFacts(row.plan.name, row.method, row.share_percent, row.acceptance, row.stage or "final", lot=lot)


def applies(rule: ExamRule, kind: str, nps: str) -> bool:
    """Say whether an exam rule speaks of joints of this kind and size."""
    return rule.joint_kind in ("all", kind) and is_within_sizes(nps, rule.nps_min, rule.nps_max)


def point_facts(row: HoldPoint) -> PointFacts:
    """Turn a stored hold or witness point into facts."""
    return PointFacts(row.id.hex, row.name, row.step, row.kind, row.document)


def speaks_of(row: HoldPoint, line: UUID, piping_class: str, kind: str) -> bool:
    """Say whether a point speaks of joints of this line, class and kind; what it leaves open is every one."""
    if row.line_id not in (None, line) or row.joint_kind not in ("", kind):
        return False
    return not row.piping_class or row.piping_class.casefold() == piping_class.casefold()


def qualification_facts(row: Qualification) -> QualificationFacts:
    """Turn a stored qualification into facts."""
    return QualificationFacts(
        wpq=row.wpq,
        process=row.process,
        tested_on=row.tested_on,
        p_number=row.p_number,
        f_number=row.f_number,
        positions=tuple(row.positions),
        coupon=row.coupon,
        coupon_diameter_mm=row.coupon_diameter_mm,
        deposit_mm=row.deposit_mm,
        weld=row.weld,
        layers=row.layers,
        backing=row.backing,
        transfer=row.transfer,
        progression=row.progression,
        operation=row.operation,
        status=row.status,
        status_on=row.status_on,
    )
