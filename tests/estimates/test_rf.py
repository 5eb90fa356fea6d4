from __future__ import annotations

import warnings

import pytest

from counterpoise.estimates.rf import coplanar, microstrip, wavelength_mm


@pytest.mark.parametrize("height", [0.2, 0.8, 1.6])
@pytest.mark.parametrize("width", [0.3, 1.0, 3.0])
@pytest.mark.parametrize("permittivity", [3.5, 4.4])
def test_microstrip_against_scikit_rf(height: float, width: float, permittivity: float) -> None:
    """scikit-rf, MLine, Hammerstad and Jensen, no dispersion: within 2 %."""
    skrf = pytest.importorskip("skrf")
    from skrf.media import MLine  # type: ignore[import-untyped]

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        line = MLine(
            skrf.Frequency(2.45, 2.45, 1, "GHz"),
            w=width * 1e-3,
            h=height * 1e-3,
            t=35e-6,
            ep_r=permittivity,
            rho=1.7e-8,
            tand=0,
            model="hammerstadjensen",
            disp="none",
            diel="frequencyinvariant",
        )
        ohms = float(line.z0_characteristic[0].real)
        effective = float(line.ep_reff_f[0].real)
    found = microstrip(width, height, permittivity, 0.035)
    assert found.ohms == pytest.approx(ohms, rel=0.02)
    assert found.permittivity == pytest.approx(effective, rel=0.02)


@pytest.mark.parametrize(
    ("height", "width", "gap"),
    [(1.6, 1.0, 0.2), (1.0, 1.0, 0.2), (0.8, 0.8, 0.2), (0.2, 0.3, 0.15)],
)
def test_coplanar_against_scikit_rf(height: float, width: float, gap: float) -> None:
    """scikit-rf, CPW with metal backside, thin copper: within 2 %."""
    skrf = pytest.importorskip("skrf")
    from skrf.media import CPW

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        line = CPW(
            skrf.Frequency(2.45, 2.45, 1, "GHz"),
            w=width * 1e-3,
            s=gap * 1e-3,
            h=height * 1e-3,
            ep_r=4.4,
            t=None,
            rho=None,
            diel="frequencyinvariant",
            has_metal_backside=True,
        )
        ohms = float(line.z0_characteristic[0].real)
    assert coplanar(width, gap, height, 4.4).ohms == pytest.approx(ohms, rel=0.02)


def test_wavelength() -> None:
    # c = 299 792 458 m/s: a quarter wave at 2.45 GHz in air is 30.59 mm.
    assert wavelength_mm(2.45e9) / 4 == pytest.approx(30.5911, rel=1e-5)


def test_sizes_are_above_zero() -> None:
    for call in (
        lambda: microstrip(0, 1, 4.4),
        lambda: coplanar(1, 0, 1, 4.4),
        lambda: wavelength_mm(0),
    ):
        with pytest.raises(ValueError, match="above zero"):
            call()
