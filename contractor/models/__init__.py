"""The company's nouns, importable from one place."""

from contractor.models.branch import Branch, DriveTime, Holiday, PlanCosts, UsualMaterial
from contractor.models.crew import Crew, CrewMember, DayOff, Machine, MemberSkill, Skill
from contractor.models.event import Event
from contractor.models.material import ChartRow, Material
from contractor.models.person import Role, User

__all__ = [
    "Branch",
    "ChartRow",
    "Crew",
    "CrewMember",
    "DayOff",
    "DriveTime",
    "Event",
    "Holiday",
    "Machine",
    "Material",
    "MemberSkill",
    "PlanCosts",
    "Role",
    "Skill",
    "User",
    "UsualMaterial",
]
