//! Catalogues of conditions, for programs that choose one at run time: from a list of
//! configurations, the configuration of any of them and the condition of any of them.

/// Makes a catalogue: the enum of configurations, the enum of conditions, and what both can do. Each
/// entry is a name and its configuration. The names after `at once` have a loop of their own in
/// `for_each` and `count`, which is faster where there are many events; the others share one.
macro_rules! catalogue {
    (
        $(#[$about_setup:meta])*
        pub enum $Setup:ident;
        $(#[$about_any:meta])*
        pub enum $Any:ident;
        at once: $($Once:ident)*;
        $($Name:ident($Config:ident),)*
    ) => {
        configuration! {
            $(#[$about_setup])*
            #[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
            #[cfg_attr(not(feature = "exhaustive"), non_exhaustive)]
            pub enum $Setup<T: Sample> {
                $(#[doc = concat!("See [`", stringify!($Config), "`].")] $Name($Config<T>),)*
            }
        }

        $(#[$about_any])*
        #[derive(Clone, Debug)]
        #[non_exhaustive]
        // Without a heap there is nothing to box the large ones in.
        #[allow(clippy::large_enum_variant)]
        pub enum $Any<T: Sample> {
            $(
                #[doc = concat!("The condition that [`", stringify!($Config), "`] describes.")]
                $Name(<$Config<T> as Configuration<T>>::Condition),
            )*
        }

        impl<T: Sample> $Setup<T> {
            /// Makes the condition from this configuration.
            ///
            /// # Errors
            /// The errors of the condition's own constructor.
            pub fn build(self) -> Result<$Any<T>, ConfigError> {
                Configuration::build(self)
            }
        }

        impl<T: Sample> Configuration<T> for $Setup<T> {
            type Condition = $Any<T>;

            fn build(self) -> Result<$Any<T>, ConfigError> {
                Ok(match self {
                    $(Self::$Name(config) => $Any::$Name(config.build()?),)*
                })
            }

            fn levels(&self, each: &mut dyn FnMut(Slope, Level<T>)) {
                match self {
                    $(Self::$Name(config) => config.levels(each),)*
                }
            }

            fn relaxed(&self) -> Option<Relaxed<T>> {
                match self {
                    $(Self::$Name(config) => config.relaxed(),)*
                }
            }
        }

        $(
            impl<T: Sample> From<$Config<T>> for $Setup<T> {
                fn from(config: $Config<T>) -> Self {
                    Self::$Name(config)
                }
            }
        )*

        impl<T: Sample> Condition for $Any<T> {
            type Sample = T;

            #[inline]
            fn next(&mut self, block: &Block<'_, T>) -> Option<Event> {
                match self {
                    $(Self::$Name(condition) => condition.next(block),)*
                }
            }

            // Some are much faster at once. On small processors room is scarcer than speed: a loop
            // for each condition would be half of the program.
            #[cfg(any(vectors, target_pointer_width = "64"))]
            #[inline]
            fn for_each(
                &mut self,
                block: &Block<'_, T>,
                mut accept: impl FnMut(u64) -> bool,
                mut f: impl FnMut(Event),
            ) {
                $(
                    if let Self::$Once(condition) = self {
                        return condition.for_each(block, accept, f);
                    }
                )*
                while let Some(event) = self.next(block) {
                    if accept(event.at.position) {
                        f(event);
                    }
                }
            }

            #[cfg(any(vectors, target_pointer_width = "64"))]
            #[inline]
            fn count(&mut self, block: &Block<'_, T>) -> u64 {
                $(
                    if let Self::$Once(condition) = self {
                        return condition.count(block);
                    }
                )*
                let mut count = 0;
                while self.next(block).is_some() {
                    count += 1;
                }
                count
            }

            fn gap(&mut self) {
                match self {
                    $(Self::$Name(condition) => condition.gap(),)*
                }
            }

            fn reset(&mut self) {
                match self {
                    $(Self::$Name(condition) => condition.reset(),)*
                }
            }
        }
    };
}
pub(super) use catalogue;
