package reading

import "example.com/ozeq/pkg/food"

// The tables of this file are what kitchens write beyond the names of foods.
// They are common practice, read on cards and in cookbooks; no source lists them.

// short are words written short, and what they stand for.
var short = map[string]string{
	"wg": "whole grain", "wgr": "whole grain", "ww": "whole wheat", "brn": "brown", "swt": "sweet", "lt": "light", "btr": "butter",
	"conc": "concentrate", "frzn": "frozen", "froz": "frozen", "frz": "frozen", "cnd": "canned", "tinned": "canned", "jarred": "canned", "chkn": "chicken", "chix": "chicken",
	"grd": "ground", "gr": "ground", "lg": "large", "lge": "large", "med": "medium", "sm": "small", "veg": "vegetable", "veggie": "vegetable", "evap": "evaporated",
	"enr": "enriched", "parm": "parmesan", "mozz": "mozzarella", "mayo": "mayonnaise", "choc": "chocolate", "pwd": "powder", "pdr": "powder", "powd": "powder",
	"granulated": "granulated", "shred": "shredded", "pct": "percent", "bbq": "barbecue", "evoo": "olive oil", "rf": "reduced fat", "lf": "low fat", "ff": "fat free",
	"lowfat": "low fat", "nonfat": "fat free", "reducedfat": "reduced fat", "wholewheat": "whole wheat", "wholegrain": "whole grain", "multigrain": "multi grain",
	"cukes": "cucumber", "spuds": "potato", "toms": "tomato", "tom": "tomato", "org": "organic", "xtra": "extra", "sauteed": "cooked", "steamed": "cooked", "roasted": "cooked",
	"dried": "dry", "dehydrated": "dry", "unpopped": "unpopped", "capsicum": "bell pepper", "oleo": "margarine", "s&p": "salt and pepper", "yoghurt": "yogurt", "chilli": "chili", "chile": "chili",
	"fries": "french fries", "garbanzos": "garbanzo bean", "o": "of", "n": "and", "w": "with", "bnls": "boneless", "sknls": "skinless", "hvy": "heavy",
	"whl": "whole", "wht": "wheat", "grnd": "ground", "ckn": "chicken", "chkin": "chicken", "trky": "turkey", "bf": "beef", "prk": "pork", "chz": "cheese", "chs": "cheese", "ched": "cheddar", "chedd": "cheddar", "chdr": "cheddar", "amer": "american",
	"drnd": "drained", "dcd": "diced", "dic": "diced", "chpd": "chopped", "chpt": "chopped", "shrd": "shredded", "slcd": "sliced", "slc": "sliced", "sli": "sliced", "grtd": "grated", "mncd": "minced", "crshd": "crushed", "crsh": "crushed", "mshd": "mashed", "peld": "peeled", "pld": "peeled", "ckd": "cooked", "ckt": "cooked", "uncook": "uncooked",
	"frsh": "fresh", "fzn": "frozen", "frzen": "frozen", "iqf": "frozen", "dehy": "dry", "dehyd": "dry", "nf": "fat free", "fatfree": "fat free", "rtu": "ready to use", "rte": "ready to eat", "mac": "macaroni", "macs": "macaroni", "spag": "spaghetti", "marg": "margarine", "ketsup": "ketchup",
	"pwdr": "powder", "powdr": "powder", "pwdrd": "powdered", "concent": "concentrate", "conct": "concentrate", "unsweet": "unsweetened", "unsw": "unsweetened", "unswt": "unsweetened", "enrich": "enriched", "enrch": "enriched", "unbl": "unbleached", "grn": "green", "yel": "yellow", "ylw": "yellow", "blk": "black", "kid": "kidney",
	"pnut": "peanut", "pbtr": "peanut butter", "strawb": "strawberry", "broc": "broccoli", "brocc": "broccoli", "cauli": "cauliflower", "caul": "cauliflower", "carr": "carrot", "pots": "potato", "potatos": "potato", "tomatos": "tomato", "tater": "potato", "zuke": "zucchini", "spin": "spinach", "bnless": "boneless", "sknless": "skinless", "skls": "skinless", "creme": "cream", "lite": "light",
	"bkg": "baking", "pdwr": "powder", "van": "vanilla", "vinegr": "vinegar", "worc": "worcestershire", "cinn": "cinnamon", "cin": "cinnamon", "garl": "garlic", "parsl": "parsley", "cuc": "cucumber", "lett": "lettuce", "bev": "beverage", "sce": "sauce", "saus": "sausage", "dress": "dressing", "drsg": "dressing", "evapd": "evaporated", "nsa": "low sodium", "gran": "granulated", "rnsd": "rinsed", "pkd": "packed", "inst": "instant", "brd": "bread", "hamb": "hamburger", "lmps": "low moisture part skim", "oj": "orange juice", "bns": "bean", "bn": "bean", "pts": "potato", "pb": "peanut butter", "xl": "large", "ls": "low sodium", "losod": "low sodium", "lwfat": "low fat", "skm": "skim",
	"ry": "ready", "apx": "about",
}

// shortened is short, with the plural s that is taken off words taken off these.
var shortened = func() map[string]string {
	m := make(map[string]string, 2*len(short))
	for k, v := range short {
		if ws := food.Words(k); len(ws) == 1 {
			if _, ok := short[ws[0]]; !ok {
				m[ws[0]] = v
			}
		}
		m[k] = v
	}
	return m
}()

// loosely are words that are used for another, or that tell nothing beside the
// rest of a name. A line read by one of them is never certain.
var loosely = []struct {
	word string
	as   []string
}{
	{"noodle", nil}, {"noodle", []string{"pasta"}}, {"wholegrain", []string{"wholewheat"}}, {"filet", []string{"fillet"}}, {"powdered", []string{"powder"}}, {"lean", nil}, {"mild", nil}, {"marinara", []string{"spaghetti", "sauce"}}, {"hash", []string{"hashed"}}, {"pasta", nil}, {"juiced", nil}, {"fillet", nil}, {"tidbit", nil}, {"kernel", nil}, {"creamy", nil},
	{"russet", nil}, {"red", nil}, {"green", nil}, {"navel", nil},
}

// sorts are words of many foods, and no food without a word more.
var sorts = map[string]bool{"bean": true, "cheese": true, "fish": true, "meat": true, "nut": true, "berry": true, "juice": true, "fruit": true, "vegetable": true, "cracker": true, "cereal": true, "soup": true, "sauce": true, "seed": true, "spice": true, "squash": true, "chicken": true, "beef": true, "pork": true, "turkey": true}

// vague are words that are a food's name, and other foods' too.
var vague = map[string]bool{"sugar": true, "milk": true, "soymilk": true, "garlic": true, "ginger": true, "oatmeal": true, "relish": true, "dressing": true, "oil": true, "base": true, "stock": true, "broth": true, "vinegar": true, "pepper": true, "cream": true, "syrup": true, "mustard": true, "rice": true, "flour": true, "pasta": true, "bread": true, "tofu": true}

// joined are words that say one thing together, and how it is written here.
var joined = map[[2]string]string{
	{"low", "fat"}: "lowfat", {"light", "fat"}: "lowfat", {"fat", "free"}: "fatfree", {"non", "fat"}: "fatfree", {"reduced", "fat"}: "reducedfat", {"part", "skim"}: "partskim",
	{"whole", "wheat"}: "wholewheat", {"whole", "grain"}: "wholegrain", {"multi", "grain"}: "multigrain", {"all", "purpose"}: "allpurpose", {"not", "enriched"}: "unenriched", {"non", "enriched"}: "unenriched",
	{"low", "sodium"}: "lowsodium", {"reduced", "sodium"}: "lowsodium", {"lower", "sodium"}: "lowsodium", {"no", "salt"}: "lowsodium", {"salt", "added"}: "lowsodium", {"unsalted", "butter"}: "butter",
	{"gluten", "free"}: "glutenfree", {"self", "rising"}: "selfrising", {"semi", "sweet"}: "semisweet", {"low", "moisture"}: "lowmoisture",
	{"water", "pack"}: "waterpack", {"juice", "pack"}: "juicepack", {"packed", "water"}: "waterpack", {"in", "juice"}: "juicepack", {"in", "water"}: "waterpack", {"in", "syrup"}: "syruppack", {"light", "syrup"}: "syruppack", {"heavy", "syrup"}: "syruppack",
	{"ready", "to"}: "readyto", {"hot", "dog"}: "hotdog", {"bow", "tie"}: "bowtie", {"100", "percent"}: "hundredpercent", {"hard", "boiled"}: "hardcooked", {"hard", "cooked"}: "hardcooked",
	{"edible", "portion"}: "ep", {"as", "purchased"}: "ap", {"bite", "size"}: "bitesize", {"sun", "dry"}: "sundry", {"pre", "cooked"}: "cooked", {"fully", "cooked"}: "cooked", {"1", "in"}: "1in",
	{"fl", "oz"}: "floz", {"corn", "bread"}: "cornbread", {"bread", "crumb"}: "breadcrumb", {"corn", "starch"}: "cornstarch", {"corn", "meal"}: "cornmeal", {"fruit", "cocktail"}: "fruitcocktail",
	{"milk", "powder"}: "drymilk", {"powdered", "milk"}: "drymilk", {"dry", "milk"}: "drymilk", {"milk", "dry"}: "drymilk", {"not", "dry"}: "undried", {"minced", "beef"}: "ground beef", {"minced", "turkey"}: "ground turkey", {"minced", "pork"}: "ground pork", {"squeezed", "dry"}: "squeezed", {"pat", "dry"}: "squeezed", {"patted", "dry"}: "squeezed", {"syrup", "or"}: "syruppack", {"usda", "food"}: "usda", {"half", "and"}: "halfand", {"with", "liquid"}: "withliquid", {"with", "juice"}: "withjuice", {"undrained", "with"}: "undrained", {"to", "taste"}: "totaste", {"as", "needed"}: "asneeded",
	{"a", "p"}: "ap", {"e", "p"}: "ep", {"whole", "grainrich"}: "wholegrain",
	{"lowsodium", "added"}: "lowsodium", {"no", "sugar"}: "unsweetened", {"unsweetened", "added"}: "unsweetened", {"in", "hundredpercent"}: "in", {"in", "own"}: "in", {"in", "natural"}: "in", {"in", "its"}: "in", {"in", "pear"}: "in", {"extra", "light"}: "light", {"hundredpercent", "juice"}: "juice hundredpercent",
	{"drymilk", "powder"}: "drymilk", {"stick", "removed"}: "stemmed", {"soft", "tofu"}: "softtofu", {"skin", "off"}: "skinless", {"skin", "less"}: "skinless", {"bone", "less"}: "boneless", {"boned", "skinned"}: "boneless skinless", {"individually", "quick"}: "quick", {"quick", "frozen"}: "frozen", {"bite", "sized"}: "bitesize", {"bite", "piece"}: "bitesize",
	{"stem", "removed"}: "stemmed", {"no", "stem"}: "stemmed", {"no", "fruit"}: "nofruit", {"salt", "free"}: "saltfree", {"skin", "on"}: "skinon", {"bone", "in"}: "bonein", {"with", "bone"}: "bonein",
}

// forms are words of how a food is bought.
var forms = map[string]bool{"fresh": true, "frozen": true, "canned": true, "dry": true}

// weak are words of a name that tell a food from its plain sister without
// changing which component it is; a food that is not called so is the plain one.
var weak = map[string]bool{"lowfat": true, "reducedfat": true, "fatfree": true, "light": true, "lowsodium": true, "lite": true, "chocolate": true, "flavored": true,
	"lactose": true, "free": true, "acidophilus": true, "fat": true, "low": true, "imitation": true, "substitute": true, "process": true, "diet": true}

// telling are words of a name that change what the food credits, or may: a
// food whose name has one that was not written is chosen, not read.
var telling = map[string]bool{"fresh": true, "frozen": true, "canned": true, "dry": true, "enriched": true, "unenriched": true, "wholewheat": true, "wholegrain": true,
	"multigrain": true, "cooked": true, "raw": true, "bone": true, "bonein": true, "boneless": true, "skinless": true, "large": true, "medium": true, "small": true, "long": true, "short": true,
	"parboiled": true, "instant": true, "sweetened": true, "unsweetened": true, "syrup": true, "syruppack": true, "waterpack": true, "juicepack": true, "pack": true,
	"added": true, "whole": true, "chunky": true, "smooth": true, "creamy": true, "bought": true, "prepared": true, "regular": true, "degermed": true, "selfrising": true, "baby": true, "mature": true,
	"petite": true, "liquid": true, "shell": true, "deli": true, "cured": true, "breaded": true, "condensed": true, "vacuum": true, "style": true, "kind": true, "any": true,
	"percent": true, "1": true, "2": true, "10": true, "15": true, "20": true, "24": true, "26": true, "30": true, "partskim": true, "with": true, "piece": true, "cut": true, "shelled": true, "hulled": true, "pearled": true,
	"glutenfree": true, "greek": true, "concentrate": true, "drained": true, "trimmed": true, "untrimmed": true,
	"grain": true, "rich": true, "blend": true, "frosted": true, "unfrosted": true, "nixtamalized": true, "unpopped": true, "popped": true, "pickled": true, "skim": true, "1pct": true, "allpurpose": true,
	"type": true, "head": true, "pod": true, "other": true, "than": true, "diced": true, "shredded": true, "sliced": true, "chopped": true, "half": true, "mashed": true, "stewed": true, "crushed": true}

// deciding are the telling words that set a rival apart even from a food called
// by just its name: flour may be enriched or not, a carrot is no baby carrot.
var deciding = map[string]bool{"fresh": true, "frozen": true, "canned": true, "dry": true, "enriched": true, "unenriched": true, "wholewheat": true, "wholegrain": true, "multigrain": true, "cooked": true, "raw": true,
	"bone": true, "bonein": true, "boneless": true, "skinless": true, "instant": true, "parboiled": true, "long": true, "medium": true, "short": true, "large": true, "whole": true, "percent": true, "sweetened": true, "syruppack": true, "waterpack": true, "juicepack": true,
	"syrup": true, "fortified": true, "chunky": true, "mature": true, "regular": true, "condensed": true, "cured": true, "deli": true, "breaded": true, "liquid": true, "partskim": true, "drained": true}

// neutral are the silent words that a name may have and a line leave out, and be
// just that name all the same.
var neutral = map[string]bool{"of": true, "the": true, "and": true, "or": true, "in": true, "with": true, "without": true, "no": true, "ready": true, "readyto": true, "to": true, "use": true, "eat": true, "untrimmed": true, "trimmed": true,
	"count": true, "plain": true, "prepared": true, "unsweetened": true, "cut": true, "piece": true, "regular": true, "hundredpercent": true, "natural": true}

// shapes are silent words that are part of what a food is when its name begins
// with them: apple slices are bought cut.
var shapes = map[string]bool{"floret": true, "stick": true, "slice": true, "strip": true, "sheet": true}

// silent are words that say nothing about which food it is.
var silent = map[string]bool{"of": true, "the": true, "a": true, "an": true, "and": true, "or": true, "in": true, "into": true, "to": true, "for": true, "from": true, "with": true, "without": true, "at": true, "about": true, "approx": true, "approximately": true,
	"is": true, "no": true, "not": true, "more": true, "than": true, "use": true, "ready": true, "readyto": true, "eat": true, "untrimmed": true, "count": true, "type": true, "style": true, "kind": true, "all": true, "any": true,
	"lowsodium": true, "sodium": true, "usda": true, "commodity": true, "brand": true, "organic": true, "local": true, "bagged": true, "bulk": true, "yellow": true, "plus": true, "each": true, "per": true, "total": true, "packed": true, "loosely": true, "lightly": true, "firmly": true, "level": true,
	"heaping": true, "scant": true, "softened": true, "melted": true, "beaten": true, "whisked": true, "sifted": true, "unsifted": true, "cold": true, "warm": true, "hot": true, "room": true, "temperature": true, "chilled": true, "divided": true, "separated": true, "optional": true, "garnish": true, "totaste": true, "asneeded": true,
	"washed": true, "rinsed": true, "cleaned": true, "trimmed": true, "peeled": true, "unpeeled": true, "pared": true, "cored": true, "seeded": true, "deseeded": true, "stemmed": true, "pitted": true, "finely": true, "coarsely": true, "thinly": true, "thin": true, "thick": true, "roughly": true, "freshly": true, "well": true, "very": true, "fine": true, "coarse": true, "minced": true,
	"chopped": true, "diced": true, "sliced": true, "slice": true, "shredded": true, "grated": true, "cubed": true, "cube": true, "julienned": true, "strip": true, "mashed": true, "pureed": true, "halved": true, "quartered": true, "wedge": true, "crumbled": true, "crushed": true, "torn": true, "cut": true, "chunk": true, "piece": true, "bitesize": true, "floret": true, "stick": true, "coin": true, "half": true,
	"drained": true, "undrained": true, "squeezed": true, "soaked": true, "overnight": true, "withliquid": true, "withjuice": true, "liquid": true, "thawed": true, "undiluted": true, "diluted": true, "reconstituted": true, "cooked": true, "uncooked": true, "hardcooked": true, "hundredpercent": true, "raw": true, "unbaked": true, "toasted": true, "browned": true, "baked": true, "boiled": true, "grilled": true, "mixing": true, "before": true, "after": true, "mix": false,
	"ap": true, "ep": true, "usable": true, "large": true, "medium": true, "small": true, "extra": true, "jumbo": true, "mini": true, "ripe": true, "firm": true, "new": true, "good": true, "quality": true, "plain": true, "quick": true, "cooking": true, "regular": true, "leaf": true, "stalk": true, "head": true, "bunch": true, "ct": true, "size": true, "sized": true,
	"commercial": true, "purpose": true, "inch": true, "soft": true, "loose": true, "natural": true, "unsalted": true, "salted": true, "unsweetened": true, "prepared": true, "bought": true, "homemade": false, "crinkle": true, "deli": true, "nofruit": true, "boil": true, "sheet": true, "additional": true, "needed": true, "serving": true, "water": false, "long": true, "grain": true, "hard": true, "whole": true, "fat": true, "percent": true, "frying": true, "pan": true, "greasing": true, "dusting": true, "if": true, "desired": true,
	"premium": true, "fancy": true, "grade": true, "you": true, "have": true, "it": true, "available": true, "possible": true, "preferred": true, "preferably": true, "your": true, "our": true, "favorite": true, "best": true, "nice": true, "great": true, "high": true, "standard": true, "institutional": true, "foodservice": true, "generic": true, "domestic": true, "imported": true, "seasonal": true, "young": true, "tender": true, "crisp": true, "assorted": true,
	"scrubbed": true, "by": true, "drain": true, "rinse": true, "wash": true, "packs": true, "wt": true, "weight": true, "net": true, "gross": true, "volume": true, "measured": true, "weighed": true, "dice": true, "random": true, "approximate": true, "roughchopped": true, "lengthwise": true, "crosswise": true, "diagonally": true, "evenly": true, "quarter": true, "less": true, "least": true, "most": true, "every": true, "apiece": true, "maximum": true, "minimum": true, "up": true}

// cuts are words of a cut, and the states figures are kept by for just that
// cut.
var cuts = map[string][]string{
	"chopped": {"chopped"}, "diced": {"diced"}, "dice": {"diced", "cubed"}, "cubed": {"cubed"}, "cube": {"cubed"}, "sliced": {"sliced"}, "slice": {"sliced"}, "shredded": {"shredded", "grated"}, "grated": {"shredded", "grated"},
	"julienned": {"strips"}, "strip": {"strips"}, "stick": {"strips"}, "mashed": {"mashed"}, "pureed": {"pureed"}, "halved": {"halves"}, "half": {"halves"}, "floret": {"florets"}, "wedge": {"wedges"}, "crumbled": {"crumbled"}, "crushed": {"crushed"},
	"section": {"sections"}, "kernel": {"kernels"}, "slivered": {"slivered"}, "ground": {"ground"}, "melted": {"melted"},
}

// preparing are words of work that leaves less than was bought.
var preparing = map[string]bool{"peeled": true, "pared": true, "trimmed": true, "cored": true, "stemmed": true, "seeded": true, "pitted": true, "chopped": true, "diced": true, "cubed": true, "cube": true, "sliced": true, "shredded": true, "grated": true,
	"julienned": true, "mashed": true, "halved": true, "quartered": true, "strip": true, "stick": true, "wedge": true}

// packages are what is bought without a size of its own.
var packages = map[string]bool{"can": true, "cn": true, "tin": true, "jar": true, "bottle": true, "bag": true, "pkg": true, "pkt": true, "package": true, "packet": true, "box": true, "carton": true, "tub": true, "container": true, "pouch": true,
	"sleeve": true, "case": true, "cs": true, "tube": true, "pack": true, "block": true, "log": true, "crate": true, "tray": true, "bucket": true, "pail": true, "jug": true, "pk": true, "bx": true, "ctn": true, "bg": true, "flat": true, "lug": true, "bushel": true, "sack": true, "crock": true, "drum": true, "keg": true, "sachet": true, "canister": true, "btl": true, "envelope": true, "portion": true, "serving": true, "pan": true, "batch": true}

// pieces are parts of a food without a size of their own.
var pieces = map[string]bool{"head": true, "clove": true, "bunch": true, "slice": true, "sprig": true, "stalk": true, "rib": true, "loaf": true, "pinch": true, "dash": true, "handful": true, "drop": true, "splash": true, "leaf": true, "stick": true, "knob": true, "ear": true, "cube": true, "scoop": true, "ladle": true, "strip": true, "spear": true, "wedge": true, "sheet": true, "part": true, "sl": true, "spoonful": true, "dollop": true, "shake": true, "squeeze": true, "pat": true, "hand": true, "rack": true, "glass": true, "bowl": true, "plate": true, "scoopful": true}

// numbers in words.
var numerals = map[string]string{"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9", "ten": "10", "eleven": "11", "twelve": "12", "fifteen": "15", "twenty": "20", "fifty": "50", "hundred": "100"}
