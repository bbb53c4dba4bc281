//! What can be said of how things come and go, and who may see them.

use crate::record::macros::vocabulary;

vocabulary! {
    /// How far something may be shown. Ordered from narrowest to widest.
    ShowTo {
        /// Own storage only.
        Nobody = "nobody",
        /// Relatives who receive a package.
        Family = "family",
        /// An archive that takes the collection.
        Archive = "archive",
        /// Everybody.
        Public = "public",
    }
}

vocabulary! {
    /// How a lot came.
    Acquisition {
        /// Bought.
        Bought = "bought",
        /// Inherited.
        Inherited = "inherited",
        /// Given.
        Given = "given",
        /// Found.
        Found = "found",
        /// Lent.
        Lent = "lent",
    }
}

vocabulary! {
    /// What should happen to things that a receiver does not want.
    IfNotWanted {
        /// Send back.
        Return = "return",
        /// Pass on.
        PassOn = "pass on",
        /// Dispose of.
        Dispose = "dispose",
    }
}

vocabulary! {
    /// A receiver's kind.
    ReceiverKind {
        /// A relative.
        Family = "family",
        /// An archive, library, museum or society.
        Archive = "archive",
        /// Everybody.
        Public = "public",
    }
}

vocabulary! {
    /// Who a package is made for. Ordered from the one that holds most to the one that holds least.
    Audience {
        /// Own storage: everything.
        Keeping = "keeping",
        /// A donation.
        Archive = "archive",
        /// Return to descendants.
        Family = "family",
        /// Everybody.
        Public = "public",
    }
}

vocabulary! {
    /// A subject that asks for care whatever the copyright.
    SensitiveSubject {
        /// A person photographed after death.
        PostMortem = "post-mortem",
        /// A patient.
        Medical = "medical",
        /// An inmate of an institution.
        Institution = "institution",
        /// Something sacred.
        Sacred = "sacred",
        /// An enslaved person.
        Enslaved = "enslaved",
        /// An Indigenous person or community.
        Indigenous = "indigenous",
        /// A dispute about ownership.
        Dispute = "dispute",
    }
}
