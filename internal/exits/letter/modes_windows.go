package letter

// modesCount is whether the mode of a file says who may read it; here its list of rights does.
const modesCount = false
