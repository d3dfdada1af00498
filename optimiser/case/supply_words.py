"""The supply in words."""

from optimiser.part.shot import Supply, SupplyKind


def supply_words(supply: Supply) -> str:
    match supply.kind:
        case SupplyKind.OPEN_CONTAINER:
            return "open container at ambient pressure"
        case SupplyKind.METERING_MACHINE:
            return "metering machine with a flow cap and a pressure cap"
        case SupplyKind.MIXES:
            return f"open container kept filled with mixes of {supply.mix_kg:g} kg"
