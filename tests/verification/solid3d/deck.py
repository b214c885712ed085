"""Writes the input deck of the general-purpose solver: two bodies, their contact, what pulls on them.

Every body is linear elastic; the contact is face to face, frictionless, with a linear layer on the exact facets.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tests.verification.solid3d.mesh import Floats, Ints, Mesh


@dataclass(frozen=True, eq=False)
class Body:
    """A mesh made of one material; ``youngs_modulus_mpa`` is meaningless where all its nodes are held."""

    mesh: Mesh
    youngs_modulus_mpa: float
    poissons_ratio: float


@dataclass(frozen=True, eq=False)
class Pair:
    """Facets of the rotor (its lower faces) that may rest on facets of the hub or of a patch (their upper faces).

    ``upper`` numbers elements of the rotor; ``lower`` elements of the hub, or of the patch if ``patch`` is 0 or more.
    """

    name: str
    upper: Ints
    lower: Ints
    patch: int = -1


@dataclass(frozen=True, eq=False)
class Patch:
    """A flat-topped block that moves with the hub face: hub nodes under it, its cells, the height of its top. [mm]"""

    under: Ints
    hexes: Ints
    top_z: Floats


@dataclass(frozen=True, eq=False)
class Model:
    """All that goes into a deck.

    Parameters
    ----------
    held : dict
        Degree of freedom (1, 2, 3) to the numbers of the nodes held in it; global numbers from 0.
    force : ndarray, shape (nodes, 3)
        Nodal forces. [N]
    watch : dict
        Name to global node numbers whose displacement is printed.
    """

    rotor: Body
    hub: Body | None = None
    patches: tuple[Patch, ...] = ()
    pairs: tuple[Pair, ...] = ()
    layer_n_mm3: float = 1.0e6
    held: dict[int, Ints] = field(default_factory=dict)
    force: Floats | None = None
    watch: dict[str, Ints] = field(default_factory=dict)
    stress_elements: Ints | None = None

    @property
    def hub_first_node(self) -> int:
        """Global number of the hub's first node."""
        return self.rotor.mesh.nodes.shape[0]

    @property
    def node_count(self) -> int:
        """Nodes of both bodies and of the patches' tops."""
        hub = 0 if self.hub is None else self.hub.mesh.nodes.shape[0]
        return self.hub_first_node + hub + sum(patch.under.size for patch in self.patches)

    @property
    def element_count(self) -> int:
        """Elements of both bodies and of the patches."""
        hub = 0 if self.hub is None else self.hub.mesh.hexes.shape[0]
        return self.rotor.mesh.hexes.shape[0] + hub + sum(patch.hexes.shape[0] for patch in self.patches)


def deck(model: Model) -> str:
    """Text of the input deck."""
    text = ["*NODE, NSET=EVERY"]
    text += _rows(_positions(model), whole=False)
    text += _elements(model)
    text += _equations(model)
    text += _contact(model)
    text += ["*BOUNDARY"]
    for freedom, nodes in sorted(model.held.items()):
        text += [f"{node + 1},{freedom}" for node in np.unique(nodes)]
    for name, nodes in model.watch.items():
        text += [f"*NSET, NSET={name}"] + [f"{node + 1}," for node in nodes]
    text += _step(model)
    return "\n".join(text) + "\n"


def _positions(model: Model) -> Floats:
    parts = [model.rotor.mesh.nodes]
    if model.hub is not None:
        parts.append(model.hub.mesh.nodes)
        for patch in model.patches:
            top = model.hub.mesh.nodes[patch.under].copy()
            top[:, 2] = patch.top_z
            parts.append(top)
    return np.vstack(parts)


def _rows(values: Floats | Ints, whole: bool, first: int = 1) -> list[str]:
    layout = "{:d}," + ",".join(["{:d}" if whole else "{:.9g}"] * values.shape[1])
    return [layout.format(number, *row) for number, row in enumerate(values.tolist(), start=first)]


def _elements(model: Model) -> list[str]:
    rotor = model.rotor
    text = ["*ELEMENT, TYPE=C3D8I, ELSET=ROTOR"] + _rows(rotor.mesh.hexes + 1, whole=True)
    text += _material("ROTOR", rotor.youngs_modulus_mpa, rotor.poissons_ratio)
    if model.hub is None:
        return text
    first, shift = rotor.mesh.hexes.shape[0] + 1, model.hub_first_node + 1
    hub = model.hub
    text += ["*ELEMENT, TYPE=C3D8I, ELSET=HUB"] + _rows(hub.mesh.hexes + shift, whole=True, first=first)
    text += _material("HUB", hub.youngs_modulus_mpa, hub.poissons_ratio)
    first += hub.mesh.hexes.shape[0]
    top = shift + hub.mesh.nodes.shape[0]
    for number, patch in enumerate(model.patches):
        # The upper four nodes are tied to the lower four, so the block is never strained and its modulus never felt.
        place = {int(node): position for position, node in enumerate(patch.under)}
        upper = np.vectorize(place.__getitem__)(patch.hexes)
        rows = np.hstack([patch.hexes + shift, upper + top])
        text += [f"*ELEMENT, TYPE=C3D8, ELSET=PATCH{number}"] + _rows(rows, whole=True, first=first)
        text += _material(f"PATCH{number}", 1.0, 0.0)
        first += patch.hexes.shape[0]
        top += patch.under.size
    return text


def _material(name: str, youngs_modulus_mpa: float, poissons_ratio: float) -> list[str]:
    values = f"{youngs_modulus_mpa:.9g},{poissons_ratio:.9g}"
    return [f"*MATERIAL, NAME={name}", "*ELASTIC", values, f"*SOLID SECTION, ELSET={name}, MATERIAL={name}"]


def _equations(model: Model) -> list[str]:
    text = []
    if model.hub is None:
        return text
    shift = model.hub_first_node + 1
    top = shift + model.hub.mesh.nodes.shape[0]
    for patch in model.patches:
        for position, node in enumerate(patch.under):
            for freedom in (1, 2, 3):
                text += ["*EQUATION", "2", f"{top + position},{freedom},1.,{node + shift},{freedom},-1."]
        top += patch.under.size
    return text


def _contact(model: Model) -> list[str]:
    if not model.pairs:
        return []
    hub_first = model.rotor.mesh.hexes.shape[0] + 1
    patch_first = [hub_first + model.hub.mesh.hexes.shape[0]]
    for patch in model.patches:
        patch_first.append(patch_first[-1] + patch.hexes.shape[0])
    text = ["*SURFACE INTERACTION, NAME=LAYER", "*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR"]
    text += [f"{model.layer_n_mm3:.9g}"]
    for pair in model.pairs:
        first = hub_first if pair.patch < 0 else patch_first[pair.patch]
        text += [f"*SURFACE, NAME=U{pair.name}, TYPE=ELEMENT"] + [f"{e + 1},S1" for e in pair.upper]
        text += [f"*SURFACE, NAME=L{pair.name}, TYPE=ELEMENT"] + [f"{e + first},S2" for e in pair.lower]
        text += ["*CONTACT PAIR, INTERACTION=LAYER, TYPE=SURFACE TO SURFACE", f"U{pair.name},L{pair.name}"]
    return text


def _step(model: Model) -> list[str]:
    text = ["*STEP, INC=200"]
    text += ["*STATIC, DIRECT", "1.,1."] if model.pairs else ["*STATIC"]
    text += ["*CLOAD"]
    node, freedom = np.nonzero(np.abs(model.force) > 0.0)
    text += [f"{n + 1},{f + 1},{model.force[n, f]:.12g}" for n, f in zip(node, freedom, strict=True)]
    for name in model.watch:
        text += [f"*NODE PRINT, NSET={name}", "U"]
    for pair in model.pairs:
        text += [f"*CONTACT PRINT, SLAVE=U{pair.name}, MASTER=L{pair.name}", "CF"]
    if model.stress_elements is not None:
        text.insert(0, "*ELSET, ELSET=STRESS\n" + "\n".join(f"{e + 1}," for e in model.stress_elements))
        text += ["*EL PRINT, ELSET=STRESS", "S"]
    return text + ["*END STEP"]


def stiffness_deck(body: Body) -> str:
    """Text of a deck that has the solver write the stiffness matrix of one free body and stop."""
    text = ["*NODE, NSET=EVERY"] + _rows(body.mesh.nodes, whole=False)
    text += ["*ELEMENT, TYPE=C3D8I, ELSET=BODY"] + _rows(body.mesh.hexes + 1, whole=True)
    # The solver wants a density for the mass matrix that it writes as well; nobody reads that one.
    text += ["*MATERIAL, NAME=BODY", "*ELASTIC", f"{body.youngs_modulus_mpa:.9g},{body.poissons_ratio:.9g}"]
    text += ["*DENSITY", "1.", "*SOLID SECTION, ELSET=BODY, MATERIAL=BODY"]
    text += ["*STEP", "*FREQUENCY, SOLVER=MATRIXSTORAGE", "*END STEP"]
    return "\n".join(text) + "\n"
