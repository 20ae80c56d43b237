//! What closing an order books: hours, stock, wear and cost.
