//! Active sets of the water's step: which piece of its law each surface and each node follows, lane by lane.

use crate::lane::Mask;

/// Piece of its isotherm along which a node's vapour pressure follows its water over a step: the tangent where it stands, if none of these.
#[derive(Clone, Copy, Debug)]
pub(super) struct NodeSet<M> {
    /// The chord from nothing through where it stands: cannot fall below nothing.
    pub chord: M,
    /// At saturation.
    pub saturated: M,
    /// The isotherm's last piece, down from saturation.
    pub top: M,
}

impl<M: Mask> NodeSet<M> {
    /// At saturation where the mask holds, else on the tangent; `never` holds nowhere.
    #[inline(always)]
    pub(super) fn new(saturated: M, never: M) -> Self {
        Self {
            chord: never,
            saturated,
            top: never,
        }
    }

    /// On the tangent.
    #[inline(always)]
    pub(super) fn tangent(&self) -> M {
        !(self.chord | self.saturated | self.top)
    }

    /// Moves a node that ends its step below nothing to the chord, one that ends above saturation to saturation and one that ends below it to the top piece;
    /// where it has moved.
    #[inline(always)]
    pub(super) fn update(&mut self, below_nothing: M, above: M, below: M) -> M {
        let tangent = self.tangent();
        let empties = below_nothing & (tangent | self.top);
        let fills = above & tangent;
        let leaves = below & self.saturated;
        let changed = empties | fills | leaves;
        self.chord = (self.chord & !changed) | empties;
        self.saturated = (self.saturated & !changed) | (fills & !empties);
        self.top = (self.top & !changed) | (leaves & !empties);
        changed
    }
}

/// What a film does over a step: none lies there at its end, nor did as it began, if none of these.
#[derive(Clone, Copy, Debug)]
pub(super) struct FilmSet<M> {
    /// It lies there at the step's end.
    pub wet: M,
    /// It dries up within the step.
    pub emptying: M,
}

impl<M: Mask> FilmSet<M> {
    /// Wet where the mask holds, else dry; `never` holds nowhere.
    #[inline(always)]
    pub(super) fn new(wet: M, never: M) -> Self {
        Self {
            wet,
            emptying: never,
        }
    }

    /// Dries up or grows; where it has changed. `began_wet` is where a film lay as the step began.
    #[inline(always)]
    pub(super) fn update(&mut self, dries: M, wets: M, began_wet: M) -> M {
        let changed = dries | wets;
        self.wet = (self.wet & !changed) | wets;
        self.emptying = (self.emptying & !changed) | (dries & !wets & began_wet);
        changed
    }
}
