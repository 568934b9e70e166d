"""What a flight asks of the parts: the greatest values of one flight, from which every load is worked out."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Demands:
    """The greatest values of a flight with one motor; heights are above the ground.

    Attributes:
        motor: name of the motor.
        liftoff_mass: everything at liftoff [g].
        burnout_mass: everything after burnout [g].
        motor_liftoff_mass: the loaded motor of it [g].
        thrust: greatest thrust [N].
        acceleration: greatest acceleration along the axis while the motor burns, as felt, thrust less drag over mass
            [m/s2].
        deceleration: greatest deceleration by drag after burnout, as felt [m/s2].
        speed: greatest speed [m/s].
        speed_height: height at which it is reached [m].
        pressure: pressure of the air there [Pa].
        sound: speed of sound there [m/s].
        dynamic_pressure: greatest dynamic pressure [Pa].
        burnout_speed: speed at burnout [m/s].
        apogee: greatest height [m].
        ground_pressure: pressure of the air at the ground [Pa].
        apogee_pressure: pressure of the air at the greatest height [Pa].
        deployment_speed: greatest speed through the air at which the parachute comes out, at the nearest delay that is
            stated or else the wanted one and at the ends of its tolerance, of the moments still in the air [m/s]: in
            still air, and in each wind of the launch, stated or usual. In a wind it is the root of the squares of the
            speed upward or downward at that moment and of the air speed at the apogee, for a rocket that turns into
            the wind at once: a bound, which parts must hold. None where it is down before each of these moments.
        deployment_density: density of the air there [kg/m3].
        drag_at_burnout: drag as the motor burns out, coasting [N].
        nose_drag_share: part of that drag that acts ahead of the joint that releases [-]; None where it is not known.
        exit_speed: speed as the forward button leaves the rail [m/s]; None where there is none.
        descent_speed: speed under the parachute at the ground [m/s]; None where none is stated.
        deployment_assumed: whether no delay is stated, and the speed at deployment is that of the delay that is wanted.
    """

    motor: str
    liftoff_mass: float
    burnout_mass: float
    motor_liftoff_mass: float
    thrust: float
    acceleration: float
    deceleration: float
    speed: float
    speed_height: float
    pressure: float
    sound: float
    dynamic_pressure: float
    burnout_speed: float
    apogee: float
    ground_pressure: float
    apogee_pressure: float
    deployment_speed: float | None
    deployment_density: float
    drag_at_burnout: float
    nose_drag_share: float | None = None
    exit_speed: float | None = None
    descent_speed: float | None = None
    deployment_assumed: bool = False
