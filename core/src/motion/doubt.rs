/// On what controls differ. Words are made of it in [`crate::findings`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// A word of which two codes of the block could make use.
    OneLetterTwoUses,
    /// Are R and Q of a cycle scaled or mirrored along with Z?
    ScaledCycle,
    /// R or Z of a cycle kept over a change between G90 and G91, or R counted from another height than the one where the
    /// cycles began.
    CycleLevels,
    /// Polar coordinates: an axis that was not named before, a radius under G91 or below 0, an angle without a point, I J
    /// of an arc, homing, a rotation on top.
    Polar,
    /// An offset set or shifted while another shift, a rotation, a scaling or G91 is on.
    ShiftedSetting,
    /// Does a shift, a rotation or a scaling go along to another work offset?
    ShiftedOffset,
    /// The order of rotation, scaling and mirror, or one of them under G91.
    OrderOfPlacing,
    /// G51 with some of its factors only, or with both forms.
    Factors,
    /// The angle of a rotation without a decimal point.
    AngleWithoutPoint,
    /// When a modal macro is called.
    ModalCall,
    /// An expression that comes out differently by the report and on shop controls.
    Expression,
    /// Where an axis stands that is not named: after a rotation, scaling or mirror, or after G40.
    AxisNotNamed,
    /// A compensated contour that turns straight back: to which side the tool turns.
    Reversal,
    /// G53 under G91.
    MachineIncrement,
    /// Does P of M98 hold the number of calls too?
    CallsInP,
    /// L0: called never, or once.
    NoCalls,
    /// A macro's argument without a decimal point.
    ArgumentWithoutPoint,
    /// I, J and K of a macro call in another order, or two letters for one parameter.
    ArgumentOrder,
    /// M in the block of a macro call: an argument, or a code that is run.
    ArgumentM,
    /// M99 P in a subprogram that is called several times.
    ReturnOfSeveral,
}
